package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.gestures.awaitEachGesture
import androidx.compose.foundation.gestures.awaitFirstDown
import androidx.compose.foundation.gestures.awaitTouchSlopOrCancellation
import androidx.compose.foundation.gestures.drag
import androidx.compose.foundation.gestures.waitForUpOrCancellation
import androidx.compose.foundation.layout.fillMaxSize
import androidx.compose.runtime.Composable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.remember
import androidx.compose.runtime.rememberUpdatedState
import androidx.compose.runtime.setValue
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.CornerRadius
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.StrokeJoin
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke as Line
import androidx.compose.ui.input.pointer.pointerInput
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.Constraints
import androidx.compose.ui.unit.dp

/** What is drawn over a picture; places are shares of its width and height. */
sealed interface PictureMark {
    data class Arrow(val from: Offset, val to: Offset) : PictureMark

    data class Ring(val from: Offset, val to: Offset) : PictureMark

    data class Words(val at: Offset, val text: String) : PictureMark
}

/**
 * How a picture is drawn over: [mark] is what comes of two taps, of a drag from one place to another, or of one tap
 * where it has no [length].
 */
class Pen(val length: Boolean, val mark: (Offset, Offset) -> PictureMark, val onDrawn: (Offset, Offset) -> Unit)

/** Where a picture of this [shape], width by height, lies in a box that it fits into. */
private fun Size.fitting(shape: Float): Rect {
    val fitted = if (width / height > shape) Size(height * shape, height) else Size(width, width / shape)
    return Rect(Offset((width - fitted.width) / 2, (height - fitted.height) / 2), fitted)
}

private fun Rect.at(share: Offset) = Offset(left + share.x * width, top + share.y * height)

private fun Rect.share(at: Offset) =
    Offset(((at.x - left) / width).coerceIn(0f, 1f), ((at.y - top) / height).coerceIn(0f, 1f))

/** The marks over a picture of this [shape], and the one under the finger. */
@Composable
fun SketchLayer(marks: List<PictureMark>, pen: Pen?, shape: Float) {
    val palette = Look.palette
    val measurer = rememberTextMeasurer()
    val style = Look.type.strong.copy(color = palette.ink)
    // What the finger has made so far: where it began, and where it is; or only the first of two taps.
    var under by remember(pen?.length) { mutableStateOf<Pair<Offset, Offset?>?>(null) }
    val now by rememberUpdatedState(pen)
    val touch =
        if (pen == null) Modifier
        else
            Modifier.pointerInput(pen.length, shape) {
                val place = Size(size.width.toFloat(), size.height.toFloat()).fitting(shape)
                awaitEachGesture {
                    val down = awaitFirstDown()
                    val here = place.share(down.position)
                    if (now?.length != true) {
                        if (waitForUpOrCancellation() != null) now?.onDrawn?.invoke(here, here)
                        return@awaitEachGesture
                    }
                    // Across the picture a finger draws; the page is moved beside it.
                    val begun = awaitTouchSlopOrCancellation(down.id) { change, _ -> change.consume() }
                    if (begun == null) {
                        val first = under?.first
                        val tapped = currentEvent.changes.all { !it.isConsumed }
                        when {
                            !tapped -> {}
                            first == null -> under = here to null
                            else -> {
                                under = null
                                now?.onDrawn?.invoke(first, here)
                            }
                        }
                        return@awaitEachGesture
                    }
                    under = here to place.share(begun.position)
                    val ended =
                        drag(down.id) {
                            under = here to place.share(it.position)
                            it.consume()
                        }
                    val last = under?.second
                    under = null
                    if (ended && last != null) now?.onDrawn?.invoke(here, last)
                }
            }
    Canvas(Modifier.fillMaxSize().then(touch)) {
        val place = size.fitting(shape)
        val (from, to) = under ?: (null to null)
        val made = if (from != null && to != null) now?.mark?.invoke(from, to) else null
        for (mark in marks + listOfNotNull(made)) draw(mark, place, palette, measurer, style)
        if (from != null && to == null) begun(place.at(from), palette)
    }
}

/** Where the first of two taps was. */
private fun DrawScope.begun(at: Offset, palette: Palette) {
    val arm = 12.dp.toPx()
    val thick = 4.dp.toPx()
    for ((color, width) in listOf(palette.paper to thick * HALO, palette.ink to thick)) {
        drawLine(color, at - Offset(arm, 0f), at + Offset(arm, 0f), width, StrokeCap.Round)
        drawLine(color, at - Offset(0f, arm), at + Offset(0f, arm), width, StrokeCap.Round)
    }
}

/** Drawn twice, wide in the colour of the page and narrow in ink, so that it stands out on any picture. */
private fun DrawScope.draw(
    mark: PictureMark,
    place: Rect,
    palette: Palette,
    measurer: TextMeasurer,
    style: androidx.compose.ui.text.TextStyle,
) {
    val thick = 4.dp.toPx()
    val strokes = listOf(palette.paper to thick * HALO, palette.ink to thick)
    when (mark) {
        is PictureMark.Arrow -> {
            val path = arrow(place.at(mark.from), place.at(mark.to), HEAD_LENGTH.toPx())
            for ((color, width) in strokes) drawPath(
                path,
                color,
                style = Line(width, cap = StrokeCap.Round, join = StrokeJoin.Round),
            )
        }
        is PictureMark.Ring -> {
            val (a, b) = place.at(mark.from) to place.at(mark.to)
            val box = Rect(minOf(a.x, b.x), minOf(a.y, b.y), maxOf(a.x, b.x), maxOf(a.y, b.y))
            for ((color, width) in strokes) drawOval(color, box.topLeft, box.size, style = Line(width))
        }
        is PictureMark.Words -> {
            val at = place.at(mark.at)
            val gap = 6.dp.toPx()
            val room = (place.width - 2 * gap).toInt().coerceAtLeast(1)
            val text = measurer.measure(mark.text, style, constraints = Constraints(maxWidth = room))
            // What would run out of the picture is moved in.
            val left = minOf(at.x, place.right - text.size.width - gap).coerceAtLeast(place.left + gap)
            val top =
                (at.y - text.size.height / 2).coerceIn(place.top, maxOf(place.top, place.bottom - text.size.height))
            drawRoundRect(
                palette.paper,
                Offset(left - gap, top),
                Size(text.size.width + 2 * gap, text.size.height.toFloat()),
                CornerRadius(gap),
            )
            drawText(text, topLeft = Offset(left, top))
        }
    }
}

/** So much wider than a stroke is what sets it off. */
private const val HALO = 2.2f

private val HEAD_LENGTH = 22.dp

/** A shaft with two barbs at 30° from it. */
private fun arrow(from: Offset, to: Offset, barb: Float): Path {
    val along = to - from
    val length = along.getDistance()
    val path = Path()
    path.moveTo(from.x, from.y)
    path.lineTo(to.x, to.y)
    if (length > 0f) {
        val back = along * (-minOf(barb, length) / length)
        for (side in listOf(-1f, 1f)) {
            path.moveTo(to.x, to.y)
            val turned = Offset(COS * back.x - side * SIN * back.y, side * SIN * back.x + COS * back.y)
            path.lineTo(to.x + turned.x, to.y + turned.y)
        }
    }
    return path
}

private const val COS = 0.866f
private const val SIN = 0.5f
