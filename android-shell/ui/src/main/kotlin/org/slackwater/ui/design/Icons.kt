package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.layout.size
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.CornerRadius
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.StrokeJoin
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.graphics.drawscope.scale
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.unit.Dp
import androidx.compose.ui.unit.LayoutDirection
import androidx.compose.ui.unit.dp

/** Signs that go with a word, never alone. Drawn as lines, since text glyphs get clipped at large type. */
enum class Icon {
    Back,
    Onward,
    Camera,
    Undo,
    Add,
    Tick,
    Note,
    Delete,
    Close,
}

/** Grows with the text it stands beside, up to one and a half times. */
@Composable internal fun signSize(base: Dp): Dp = base * LocalDensity.current.fontScale.coerceIn(1f, 1.5f)

/** Draws [icon] without a meaning of its own for a screen reader: the word beside it has that. */
@Composable
internal fun Sign(icon: Icon, modifier: Modifier = Modifier, color: Color = Look.palette.accent, size: Dp = 24.dp) {
    val width = Look.palette.stroke * 1.25f
    Canvas(modifier.size(signSize(size))) {
        val stroke = Stroke(width.toPx(), cap = StrokeCap.Butt, join = StrokeJoin.Miter)
        val mirrored = layoutDirection == LayoutDirection.Rtl && icon != Icon.Camera && icon != Icon.Tick
        scale(if (mirrored) -1f else 1f, 1f) { drawIcon(icon, color, stroke) }
    }
}

private fun DrawScope.drawIcon(icon: Icon, color: Color, stroke: Stroke) {
    val w = size.width
    val h = size.height
    fun lines(vararg points: Pair<Float, Float>) {
        val path = Path()
        points.forEachIndexed { i, (x, y) -> if (i == 0) path.moveTo(x * w, y * h) else path.lineTo(x * w, y * h) }
        drawPath(path, color, style = stroke)
    }
    when (icon) {
        Icon.Back -> {
            lines(.14f to .5f, .875f to .5f)
            lines(.44f to .19f, .125f to .5f, .44f to .81f)
        }
        Icon.Onward -> {
            lines(.125f to .5f, .86f to .5f)
            lines(.56f to .19f, .875f to .5f, .56f to .81f)
        }
        Icon.Tick -> lines(.16f to .54f, .41f to .78f, .86f to .24f)
        Icon.Add -> {
            lines(.5f to .14f, .5f to .86f)
            lines(.14f to .5f, .86f to .5f)
        }
        Icon.Undo -> {
            lines(.36f to .12f, .12f to .34f, .36f to .56f)
            val path =
                Path().apply {
                    moveTo(.14f * w, .34f * h)
                    lineTo(.6f * w, .34f * h)
                    cubicTo(.98f * w, .34f * h, .98f * w, .86f * h, .6f * w, .86f * h)
                    lineTo(.34f * w, .86f * h)
                }
            drawPath(path, color, style = stroke)
        }
        Icon.Camera -> {
            drawRoundRect(color, Offset(.06f * w, .28f * h), Size(.88f * w, .58f * h), CornerRadius(.1f * w), stroke)
            drawCircle(color, .17f * w, Offset(.5f * w, .57f * h), style = stroke)
            lines(.34f to .28f, .4f to .14f, .6f to .14f, .66f to .28f)
        }
        Icon.Delete -> {
            lines(.36f to .2f, .95f to .2f, .95f to .8f, .36f to .8f, .06f to .5f, .36f to .2f, .6f to .2f)
            lines(.45f to .5f, .82f to .5f)
        }
        Icon.Close -> {
            lines(.1f to .3f, .5f to .72f, .9f to .3f)
        }
        Icon.Note -> {
            lines(.16f to .22f, .84f to .22f)
            lines(.16f to .5f, .84f to .5f)
            lines(.16f to .78f, .56f to .78f)
        }
    }
}
