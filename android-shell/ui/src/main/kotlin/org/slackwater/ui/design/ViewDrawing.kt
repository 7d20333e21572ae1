package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.gestures.detectTapGestures
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.aspectRatio
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.height
import androidx.compose.foundation.layout.width
import androidx.compose.runtime.Composable
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.PathEffect
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke as Line
import androidx.compose.ui.input.pointer.pointerInput
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.dp

/** A place in a drawing, in widths of it, from its upper left corner. */
class Spot(val x: Float, val y: Float)

private fun Spot.scaled(width: Float) = Offset(x * width, y * width)

/** So far from a thing a finger may come down. */
private val REACH = 28.dp

/** How a thing is drawn: told apart by shape, never by colour. */
enum class Stroke {
    /** A dashed line through the drawing. */
    Level,

    /** A closed outline. */
    Outline,

    /** A small dot. */
    Dot,

    /** A full square. */
    Block,

    /** An empty square. */
    OpenBlock,

    /** An arrow down from its place. */
    Down,

    /** An arrow up from its place. */
    Up,
}

/** One thing drawn: its corners, its ends, or its one place. */
class SpotShape(val stroke: Stroke, val spots: List<Spot>, val onTap: (() -> Unit)? = null)

/** A word beside a place. */
class SpotLabel(val at: Spot, val text: String)

/** A thing seen from one side. [height] is in widths. */
class View(val height: Float, val shapes: List<SpotShape>, val labels: List<SpotLabel>, val spoken: String)

/**
 * Draws [view] as wide as there is room. A tap goes to the nearest thing that does something; a screen reader is told
 * the whole in words, and finds what can be done in the rows.
 */
@Composable
fun ViewDrawing(view: View) {
    val palette = Look.palette
    val style = Look.type.footnote.copy(color = palette.ink)
    val measurer = rememberTextMeasurer()
    Canvas(
        Modifier.fillMaxWidth()
            .aspectRatio(1f / view.height)
            .semantics { contentDescription = view.spoken }
            .pointerInput(view) {
                detectTapGestures { at ->
                    view.shapes
                        .filter { it.onTap != null && it.spots.isNotEmpty() }
                        .map { it to (it.spots.first().scaled(size.width.toFloat()) - at).getDistance() }
                        .filter { (_, far) -> far <= REACH.toPx() }
                        .minByOrNull { (_, far) -> far }
                        ?.first
                        ?.onTap
                        ?.invoke()
                }
            }
    ) {
        for (shape in view.shapes) draw(
            shape.stroke,
            shape.spots.map { it.scaled(size.width) },
            palette,
        )
        for (label in view.labels) drawLabel(label, measurer, style, palette)
    }
}

/** A label stands above and to the right of its place; at the edges it stays inside. */
private fun DrawScope.drawLabel(label: SpotLabel, measurer: TextMeasurer, style: TextStyle, palette: Palette) {
    val text = measurer.measure(label.text, style)
    val gap = 8.dp.toPx()
    val atCorner = label.at.y == 0f
    val x = label.at.x * size.width + if (atCorner) 0f else gap
    val y = label.at.y * size.width - if (atCorner) 0f else text.size.height + gap / 4
    val topLeft =
        Offset(
            x.coerceIn(0f, maxOf(0f, size.width - text.size.width)),
            y.coerceIn(0f, maxOf(0f, size.height - text.size.height)),
        )
    // No outline runs through a number.
    drawRect(palette.paper, topLeft, Size(text.size.width.toFloat(), text.size.height.toFloat()))
    drawText(text, topLeft = topLeft)
}

private fun DrawScope.draw(stroke: Stroke, at: List<Offset>, palette: Palette) {
    val first = at.firstOrNull() ?: return
    val thick = palette.stroke.toPx()
    val arm = 7.dp.toPx()
    when (stroke) {
        Stroke.Level ->
            drawLine(
                palette.line,
                first,
                at.last(),
                thick,
                pathEffect = PathEffect.dashPathEffect(floatArrayOf(8.dp.toPx(), 6.dp.toPx())),
            )
        Stroke.Outline -> {
            val path =
                Path().apply {
                    at.forEachIndexed { i, p -> if (i == 0) moveTo(p.x, p.y) else lineTo(p.x, p.y) }
                    close()
                }
            drawPath(path, palette.line, style = Line(thick))
        }
        Stroke.Dot -> drawCircle(palette.ink, arm / 2, first)
        Stroke.Block -> drawRect(palette.ink, Offset(first.x - arm, first.y - arm), Size(arm * 2, arm * 2))
        Stroke.OpenBlock -> {
            drawRect(palette.paper, Offset(first.x - arm, first.y - arm), Size(arm * 2, arm * 2))
            drawRect(
                palette.accent,
                Offset(first.x - arm, first.y - arm),
                Size(arm * 2, arm * 2),
                style = Line(palette.strongStroke.toPx()),
            )
        }
        Stroke.Down -> drawArrow(first, arm, palette, 1f)
        Stroke.Up -> drawArrow(first, arm, palette, -1f)
    }
}

/** The pull of weight is a full arrow, that of buoyancy an open one: of two that lie close, each is still told. */
private fun DrawScope.drawArrow(from: Offset, arm: Float, palette: Palette, way: Float) {
    val thick = palette.strongStroke.toPx()
    val tip = Offset(from.x, from.y + way * arm * 4)
    val back = tip.y - way * arm * 1.5f
    drawCircle(palette.ink, arm / 2, from)
    drawLine(palette.ink, from, Offset(tip.x, back), thick)
    val head =
        Path().apply {
            moveTo(tip.x, tip.y)
            lineTo(tip.x - arm, back)
            lineTo(tip.x + arm, back)
            close()
        }
    if (way > 0) drawPath(head, palette.ink)
    else {
        drawPath(head, palette.paper)
        drawPath(head, palette.ink, style = Line(thick))
    }
}

/** What the shapes mean, each beside its words. */
@Composable
fun StrokeLegend(entries: List<Pair<Stroke, String>>) {
    val palette = Look.palette
    Column(verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
        for ((stroke, text) in entries) Row(
            Modifier.fillMaxWidth(),
            horizontalArrangement = Arrangement.spacedBy(10.dp),
            verticalAlignment = Alignment.CenterVertically,
        ) {
            Canvas(Modifier.width(36.dp).height(38.dp)) {
                val middle = Offset(size.width / 2, size.height / 2)
                val at =
                    when (stroke) {
                        Stroke.Level -> listOf(Offset(0f, middle.y), Offset(size.width, middle.y))
                        Stroke.Down -> listOf(Offset(middle.x, 4.dp.toPx()))
                        Stroke.Up -> listOf(Offset(middle.x, size.height - 4.dp.toPx()))
                        else -> listOf(middle)
                    }
                draw(stroke, at, palette)
            }
            Words(text, Look.type.footnote, Modifier.weight(1f))
        }
    }
}
