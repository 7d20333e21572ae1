package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.layout.size
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.graphics.drawscope.clipPath
import androidx.compose.ui.unit.Dp
import androidx.compose.ui.unit.dp

/** The shape that repeats a state which words have already told. */
enum class Mark {
    /** Proved, done. */
    Full,

    /** Begun. */
    Half,

    /** Not yet. */
    Hollow,

    /** Waiting, or not certain. */
    Hatched,

    /** Stands in the way, or was taken back. */
    Struck,
}

/** Draws [mark]. The shape alone tells it; the colour of what blocks comes on top. */
@Composable
fun StateMark(mark: Mark, modifier: Modifier = Modifier, size: Dp = 28.dp) {
    val palette = Look.palette
    val color = if (mark == Mark.Struck) palette.block else palette.ink
    val stroke = palette.stroke
    Canvas(modifier.size(signSize(size))) { drawMark(mark, color, stroke.toPx() * 1.25f) }
}

private fun DrawScope.drawMark(mark: Mark, color: Color, stroke: Float) {
    val middle = Offset(size.width / 2, size.height / 2)
    val radius = size.minDimension / 2 - stroke
    val ring = Rect(middle, radius)
    val inside = Path().apply { addOval(ring) }
    when (mark) {
        Mark.Full -> drawCircle(color, radius + stroke / 2, middle)
        Mark.Half ->
            clipPath(inside) {
                drawRect(color, Offset(ring.left, middle.y), Size(ring.width, ring.height / 2))
            }
        Mark.Hatched ->
            clipPath(inside) {
                // Gaps stay wider than lines, or the sun theme would show a full disc.
                val step = maxOf(radius * 0.62f, stroke * 2.4f)
                var x = ring.left - ring.height
                while (x < ring.right) {
                    drawLine(color, Offset(x, ring.bottom), Offset(x + ring.height, ring.top), stroke * 0.8f)
                    x += step
                }
            }
        Mark.Struck ->
            drawLine(
                color,
                Offset(size.width * 0.04f, size.height * 0.96f),
                Offset(size.width * 0.96f, size.height * 0.04f),
                stroke * 1.6f,
                StrokeCap.Butt,
            )
        Mark.Hollow -> Unit
    }
    if (mark != Mark.Full) drawCircle(color, radius, middle, style = Stroke(stroke))
}
