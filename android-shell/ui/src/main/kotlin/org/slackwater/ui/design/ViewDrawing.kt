package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
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
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.dp
import androidx.compose.ui.graphics.drawscope.Stroke as Line

/** A place in a drawing, in widths of it, from its upper left corner. */
class Spot(val x: Float, val y: Float)

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

    /** An upright cross. */
    Cross,

    /** A ring. */
    Ring,
}

/** One thing drawn: its corners, its ends, or its one place. */
class SpotShape(val stroke: Stroke, val spots: List<Spot>)

/** A word beside a place. */
class SpotLabel(val at: Spot, val text: String)

/** A thing seen from one side. [height] is in widths. */
class View(val height: Float, val shapes: List<SpotShape>, val labels: List<SpotLabel>, val spoken: String)

/** Draws [view] as wide as there is room; a screen reader is told the whole in words. */
@Composable
fun ViewDrawing(view: View) {
    val palette = Look.palette
    val style = Look.type.footnote.copy(color = palette.ink)
    val measurer = rememberTextMeasurer()
    Canvas(Modifier.fillMaxWidth().aspectRatio(1f / view.height).semantics { contentDescription = view.spoken }) {
        for (shape in view.shapes) draw(shape.stroke, shape.spots.map { Offset(it.x * size.width, it.y * size.width) }, palette)
        for (label in view.labels) drawLabel(label, measurer, style)
    }
}

/** A label stands above and to the right of its place; at the edges it stays inside. */
private fun DrawScope.drawLabel(label: SpotLabel, measurer: TextMeasurer, style: androidx.compose.ui.text.TextStyle) {
    val text = measurer.measure(label.text, style)
    val gap = 8.dp.toPx()
    val corner = label.at.y == 0f
    val x = label.at.x * size.width + if (corner) 0f else gap
    val y = label.at.y * size.width - if (corner) 0f else text.size.height + gap / 4
    drawText(
        text,
        topLeft = Offset(
            x.coerceIn(0f, maxOf(0f, size.width - text.size.width)),
            y.coerceIn(0f, maxOf(0f, size.height - text.size.height)),
        ),
    )
}

private fun DrawScope.draw(stroke: Stroke, at: List<Offset>, palette: Palette) {
    val first = at.firstOrNull() ?: return
    val thick = palette.stroke.toPx()
    val arm = 7.dp.toPx()
    when (stroke) {
        Stroke.Level -> drawLine(
            palette.line, first, at.last(), thick, pathEffect = PathEffect.dashPathEffect(floatArrayOf(8.dp.toPx(), 6.dp.toPx())),
        )
        Stroke.Outline -> {
            val path = Path().apply {
                at.forEachIndexed { i, p -> if (i == 0) moveTo(p.x, p.y) else lineTo(p.x, p.y) }
                close()
            }
            drawPath(path, palette.line, style = Line(thick))
        }
        Stroke.Dot -> drawCircle(palette.ink, arm / 2, first)
        Stroke.Block -> drawRect(palette.ink, Offset(first.x - arm, first.y - arm), Size(arm * 2, arm * 2))
        Stroke.OpenBlock -> {
            drawRect(palette.paper, Offset(first.x - arm, first.y - arm), Size(arm * 2, arm * 2))
            drawRect(palette.accent, Offset(first.x - arm, first.y - arm), Size(arm * 2, arm * 2), style = Line(thick * 1.5f))
        }
        Stroke.Cross -> {
            drawLine(palette.ink, Offset(first.x - arm, first.y), Offset(first.x + arm, first.y), thick * 1.5f)
            drawLine(palette.ink, Offset(first.x, first.y - arm), Offset(first.x, first.y + arm), thick * 1.5f)
        }
        Stroke.Ring -> drawCircle(palette.ink, arm, first, style = Line(thick * 1.5f))
    }
}

/** What the shapes mean, each beside its words. */
@Composable
fun StrokeLegend(entries: List<Pair<Stroke, String>>) {
    val palette = Look.palette
    Column(verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
        for ((stroke, text) in entries) Row(
            Modifier.fillMaxWidth(), horizontalArrangement = Arrangement.spacedBy(10.dp), verticalAlignment = Alignment.CenterVertically,
        ) {
            Canvas(Modifier.width(36.dp).height(22.dp)) {
                val middle = Offset(size.width / 2, size.height / 2)
                draw(stroke, if (stroke == Stroke.Level) listOf(Offset(0f, middle.y), Offset(size.width, middle.y)) else listOf(middle), palette)
            }
            Words(text, Look.type.footnote, Modifier.weight(1f))
        }
    }
}
