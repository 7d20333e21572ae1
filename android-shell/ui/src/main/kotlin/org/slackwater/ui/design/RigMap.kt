package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.gestures.detectTapGestures
import androidx.compose.foundation.layout.aspectRatio
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.CornerRadius
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.PathEffect
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke as Line
import androidx.compose.ui.graphics.drawscope.rotate
import androidx.compose.ui.graphics.drawscope.translate
import androidx.compose.ui.input.pointer.pointerInput
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.Constraints
import androidx.compose.ui.unit.dp

/** What a shape of the map of a rig is. */
enum class MapForm {
    Body,
    Port,
    Ring,
    Cover,
    Seal,
    Through,
    Plug,
}

/** A part of the map, in widths of it. What is [off] lies beside its seat; what is [solid] counts now. */
class MapThing(
    val form: MapForm,
    val place: Rect,
    val solid: Boolean,
    val off: Boolean,
    val mark: Mark,
    val letter: String,
    val name: String,
    val onTap: (() -> Unit)?,
)

/** So far from a part a finger may come down. */
private val REACH = 28.dp
/** How far what lies off its seat is tilted, degrees. */
private const val TILT = 7f

/**
 * Draws a rig from its side, its front to the left. A tap goes to the nearest part that does something; a screen reader
 * is told the whole in words, and finds what can be done in the rows.
 */
@Composable
fun RigMapDrawing(things: List<MapThing>, height: Float, spoken: String, modifier: Modifier = Modifier) {
    val palette = Look.palette
    val names = Look.type.strong
    val letters = Look.type.footnote.copy(color = palette.ink)
    val measurer = rememberTextMeasurer()
    Canvas(
        modifier
            .fillMaxWidth()
            .aspectRatio(1f / height)
            .semantics { contentDescription = spoken }
            .pointerInput(things) {
                detectTapGestures { at ->
                    things
                        .filter { it.onTap != null }
                        .map { it to it.place.scaled(size.width.toFloat()).distanceTo(at) }
                        .filter { (_, far) -> far <= REACH.toPx() }
                        .minByOrNull { (_, far) -> far }
                        ?.first
                        ?.onTap
                        ?.invoke()
                }
            }
    ) {
        for (thing in things) draw(thing, palette)
        for (thing in things) word(thing, measurer, names, letters, palette)
    }
}

private fun Rect.scaled(width: Float) = Rect(left * width, top * width, right * width, bottom * width)

private fun Rect.distanceTo(at: Offset): Float {
    val dx = maxOf(left - at.x, 0f, at.x - right)
    val dy = maxOf(top - at.y, 0f, at.y - bottom)
    return Offset(dx, dy).getDistance()
}

private fun DrawScope.draw(thing: MapThing, palette: Palette) {
    val at = thing.place.scaled(size.width)
    val thick = palette.stroke.toPx()
    when (thing.form) {
        MapForm.Body -> {
            val corner = CornerRadius(8.dp.toPx())
            drawRoundRect(if (thing.solid) palette.solid else palette.raised, at.topLeft, at.size, corner)
            drawRoundRect(palette.edge, at.topLeft, at.size, corner, style = Line(thick))
        }
        MapForm.Port -> tilted(thing.off, at, -1f) { outlined(port(at), palette, thick) }
        MapForm.Ring,
        MapForm.Cover ->
            tilted(thing.off, at, if (thing.form == MapForm.Cover) 1f else -1f) {
                val corner = CornerRadius(4.dp.toPx())
                drawRoundRect(palette.raised, at.topLeft, at.size, corner)
                drawRoundRect(palette.ink, at.topLeft, at.size, corner, style = Line(thick))
            }
        MapForm.Seal -> seal(thing, at, palette, thick)
        MapForm.Through -> {
            if (!thing.off) drawRect(palette.ink, at.topLeft, at.size)
            else {
                drawRect(palette.paper, at.topLeft, at.size)
                drawRect(palette.ink, at.topLeft, at.size, style = Line(thick))
            }
            signal(thing, at, palette, thick)
        }
        MapForm.Plug -> tilted(thing.off, at, 2f) { plug(at, thing.off, palette, thick) }
    }
}

/** What is off its seat stands askew. */
private fun DrawScope.tilted(off: Boolean, at: Rect, way: Float, draw: DrawScope.() -> Unit) =
    if (off) rotate(TILT * way, at.center, draw) else draw()

private fun DrawScope.outlined(path: Path, palette: Palette, thick: Float) {
    drawPath(path, palette.raised)
    drawPath(path, palette.ink, style = Line(thick))
}

/** How far round a port is: of its width along its edges, of its height at its front. */
private const val ALONG = 0.2f
private const val ROUND = 0.25f

/** Round to the front, flat where it sits on a ring or the housing. */
private fun port(at: Rect) =
    Path().apply {
        val edge = at.left + at.width * ALONG
        val bend = at.height * ROUND
        moveTo(at.right, at.top)
        cubicTo(edge, at.top, at.left, at.top + bend, at.left, at.center.y)
        cubicTo(at.left, at.bottom - bend, edge, at.bottom, at.right, at.bottom)
        close()
    }

/** A ring in its groove: a line; lifted out, hollow and askew over its dotted groove. */
private fun DrawScope.seal(thing: MapThing, at: Rect, palette: Palette, thick: Float) {
    val corner = CornerRadius(at.width / 2)
    if (!thing.off) drawRoundRect(palette.ink, at.topLeft, at.size, corner)
    else {
        val dots = PathEffect.dashPathEffect(floatArrayOf(thick, 3 * thick))
        drawLine(palette.line, at.topCenter, at.bottomCenter, thick, StrokeCap.Round, dots)
        translate(top = -9.dp.toPx()) {
            rotate(TILT, at.center) {
                drawRoundRect(palette.paper, at.topLeft, at.size, corner)
                drawRoundRect(palette.ink, at.topLeft, at.size, corner, style = Line(thick))
            }
        }
    }
    signal(thing, at, palette, thick)
}

/** A pennant on what will be due, a saltire on what blocks. */
private fun DrawScope.signal(thing: MapThing, at: Rect, palette: Palette, thick: Float) {
    val arm = 6.dp.toPx()
    val foot = Offset(at.center.x, at.top)
    when (thing.mark) {
        Mark.Hatched -> {
            val top = Offset(foot.x, foot.y - 4 * arm)
            drawLine(palette.ink, foot, top, thick)
            val flag =
                Path().apply {
                    moveTo(top.x, top.y)
                    lineTo(top.x + 2.5f * arm, top.y + arm)
                    lineTo(top.x, top.y + 2 * arm)
                    close()
                }
            drawPath(flag, palette.ink)
        }
        Mark.Struck -> {
            val middle = Offset(foot.x, foot.y - 2 * arm)
            for (way in listOf(1f, -1f)) drawLine(
                palette.block,
                middle + Offset(-arm, -arm * way),
                middle + Offset(arm, arm * way),
                2 * thick,
            )
        }
        else -> {}
    }
}

private fun DrawScope.plug(at: Rect, out: Boolean, palette: Palette, thick: Float) {
    val path =
        Path().apply {
            moveTo(at.left + at.width * 0.15f, at.top)
            lineTo(at.right - at.width * 0.15f, at.top)
            lineTo(at.right, at.center.y)
            lineTo(at.right - at.width * 0.3f, at.center.y)
            lineTo(at.right - at.width * 0.3f, at.bottom)
            lineTo(at.left + at.width * 0.3f, at.bottom)
            lineTo(at.left + at.width * 0.3f, at.center.y)
            lineTo(at.left, at.center.y)
            close()
        }
    drawPath(path, if (out) palette.paper else palette.ink)
    drawPath(path, palette.ink, style = Line(thick))
}

/** Parts of the type's size that a name in a housing may have. */
private val SMALLER = listOf(1f, 0.8f, 0.65f, 0.5f)

/** The name of a housing in it, and the letter of what is told beneath the drawing above a thing, or beside it. */
private fun DrawScope.word(
    thing: MapThing,
    measurer: TextMeasurer,
    names: TextStyle,
    letters: TextStyle,
    palette: Palette,
) {
    val at = thing.place.scaled(size.width)
    if (thing.name.isNotEmpty()) {
        val inset = 8.dp.toPx()
        val room = Constraints(maxWidth = (at.width - 2 * inset).toInt().coerceAtLeast(1))
        val style = names.copy(color = if (thing.solid) palette.onSolid else palette.ink)
        // As large as the type is set, or as fits: a name that runs over its housing is told in the rows.
        SMALLER.asSequence()
            .map { measurer.measure(thing.name, style.copy(fontSize = style.fontSize * it), constraints = room) }
            .firstOrNull { it.size.height <= at.height && it.multiParagraph.minIntrinsicWidth <= room.maxWidth }
            ?.let { drawText(it, topLeft = at.topLeft + Offset(inset, (at.height - it.size.height) / 2)) }
    }
    if (thing.letter.isEmpty()) return
    val text = measurer.measure(thing.letter, letters)
    val over = (if (thing.mark == Mark.Hatched || thing.mark == Mark.Struck) 28 else 14).dp.toPx()
    // Above a plug another housing may stand, or nothing fit any more: its letter is beside it.
    val beside = thing.form == MapForm.Plug
    val middle = if (beside) Offset(at.right + over, at.center.y) else Offset(at.center.x, at.top - over)
    val left = (middle.x - text.size.width / 2).coerceIn(0f, size.width - text.size.width)
    val top = (middle.y - text.size.height / 2).coerceIn(0f, size.height - text.size.height)
    drawRect(palette.paper, Offset(left, top), Size(text.size.width.toFloat(), text.size.height.toFloat()))
    drawText(text, topLeft = Offset(left, top))
}
