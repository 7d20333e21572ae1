package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.height
import androidx.compose.foundation.layout.width
import androidx.compose.runtime.Composable
import androidx.compose.runtime.Immutable
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.PathEffect
import androidx.compose.ui.graphics.StrokeCap
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.graphics.drawscope.clipPath
import androidx.compose.ui.graphics.drawscope.clipRect
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.semantics.clearAndSetSemantics
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.dp
import kotlin.math.max

/** One point of a chart, in the chart's own units; [aside] where it does not count. */
@Immutable data class ChartPoint(val x: Double, val y: Double, val aside: Boolean = false)

/** A label at a place on an axis. */
@Immutable data class ChartTick(val at: Double, val text: String)

/** A line that stands for a limit, with the words that name it. */
@Immutable data class ChartLimit(val line: List<ChartPoint>, val label: String)

/**
 * Everything a hold's chart shows. Time runs along, depression stands up; the core has chosen the ranges and written
 * the labels.
 *
 * @param spoken the whole chart in words, every number with its unit.
 */
@Immutable
data class ChartContent(
    val x: ClosedFloatingPointRange<Double>,
    val y: ClosedFloatingPointRange<Double>,
    val points: List<ChartPoint>,
    val fit: List<ChartPoint> = emptyList(),
    val bandLow: List<ChartPoint> = emptyList(),
    val bandHigh: List<ChartPoint> = emptyList(),
    val limit: ChartLimit? = null,
    val xTicks: List<ChartTick> = emptyList(),
    val yTicks: List<ChartTick> = emptyList(),
    val xUnit: String = "",
    val yUnit: String = "",
    val spoken: String,
)

/** Readings as points, the fit as a line, its band as tone, the limit as a labelled dashed line. */
@Composable
fun HoldChart(chart: ChartContent, modifier: Modifier = Modifier) {
    val palette = Look.palette
    val measurer = rememberTextMeasurer()
    val style = Look.type.footnote.copy(color = palette.ink)
    val scale = LocalDensity.current.fontScale.coerceIn(1f, 2f)
    Column(
        modifier.fillMaxWidth().clearAndSetSemantics { contentDescription = chart.spoken },
        verticalArrangement = Arrangement.spacedBy(4.dp),
    ) {
        Canvas(Modifier.fillMaxWidth().height(220.dp + 60.dp * (scale - 1f))) {
            drawReadings(chart, palette, drawAxes(chart, palette, measurer, style))
        }
        // Beneath, where it can't lie over a reading, however short the hold and large the type.
        if (chart.limit != null) LimitLegend(chart.limit.label)
    }
}

private fun DrawScope.drawAxes(chart: ChartContent, palette: Palette, measurer: TextMeasurer, style: TextStyle): Area {
    val yLabels = chart.yTicks.map { it to measurer.measure(it.text, style) }
    // The unit stands once on each axis: behind the last time, and above the pressures.
    val xLabels =
        chart.xTicks.mapIndexed { i, tick ->
            val unit = if (i == chart.xTicks.lastIndex && chart.xUnit.isNotEmpty()) "\u00A0${chart.xUnit}" else ""
            tick to measurer.measure(tick.text + unit, style)
        }
    val yUnit = measurer.measure(chart.yUnit, style)
    val gap = 6.dp.toPx()
    val left = (yLabels.maxOfOrNull { it.second.size.width } ?: 0) + gap
    val below = (xLabels.maxOfOrNull { it.second.size.height } ?: 0) + gap
    val top = if (chart.yUnit.isEmpty()) gap * 2 else yUnit.size.height + gap
    val area = Area(left, top, max(left + 1, size.width - gap), max(top + 1, size.height - below), chart)
    val thin = palette.stroke.toPx() / 2
    for ((tick, label) in yLabels) {
        val y = area.y(tick.at)
        if (y !in area.top - 1..area.bottom + 1) continue
        drawLine(palette.line, Offset(area.left, y), Offset(area.right, y), thin / 2)
        val labelTop =
            (y - label.size.height / 2).coerceAtMost(area.bottom - label.size.height).coerceAtLeast(area.top - gap)
        drawText(label, topLeft = Offset(area.left - gap - label.size.width, labelTop))
    }
    drawText(yUnit, topLeft = Offset((area.left - gap - yUnit.size.width).coerceAtLeast(0f), 0f))
    drawXLabels(xLabels, area, gap)
    drawLine(palette.ink, Offset(area.left, area.bottom), Offset(area.right, area.bottom), thin)
    drawLine(palette.ink, Offset(area.left, area.top), Offset(area.left, area.bottom), thin)
    return area
}

private fun DrawScope.drawReadings(chart: ChartContent, palette: Palette, area: Area) {
    val margin = 6.dp.toPx()
    val stroke = palette.stroke.toPx()
    clipRect(area.left, area.top - margin, area.right + margin, area.bottom) {
        if (chart.bandLow.size > 1 && chart.bandHigh.size > 1) {
            val band = area.path(chart.bandHigh + chart.bandLow.asReversed()).apply { close() }
            // In full sun there are no greys: the band is hatched.
            if (palette.tone == palette.paper) clipPath(band) { hatch(palette.ink, 6.dp.toPx(), 1.5.dp.toPx()) }
            else drawPath(band, palette.tone)
        }
        if (chart.fit.size > 1)
            drawPath(area.path(chart.fit), palette.ink, style = Stroke(stroke, cap = StrokeCap.Round))
        for (p in chart.points) {
            if (!p.x.isFinite() || !p.y.isFinite()) continue
            val at = Offset(area.x(p.x), area.y(p.y))
            if (p.aside) {
                val arm = 4.dp.toPx()
                drawLine(palette.ink, at - Offset(arm, arm), at + Offset(arm, arm), stroke)
                drawLine(palette.ink, at - Offset(arm, -arm), at + Offset(arm, -arm), stroke)
            } else {
                val half = 3.5.dp.toPx()
                drawRect(palette.ink, at - Offset(half, half), Size(2 * half, 2 * half))
            }
        }
        val limit = chart.limit
        if (limit != null && limit.line.size > 1) {
            drawPath(area.path(limit.line), palette.block, style = Stroke(stroke, pathEffect = dashes()))
        }
    }
}

/** Slanting lines over all there is to draw on. */
internal fun DrawScope.hatch(color: Color, step: Float, width: Float) {
    var x = -size.height
    while (x < size.width) {
        drawLine(color, Offset(x, size.height), Offset(x + size.height, 0f), width)
        x += step
    }
}

private fun DrawScope.dashes() = PathEffect.dashPathEffect(floatArrayOf(10.dp.toPx(), 6.dp.toPx()))

/** The dashed line and its words, beneath the chart. */
@Composable
private fun LimitLegend(label: String) {
    val palette = Look.palette
    Row(horizontalArrangement = Arrangement.spacedBy(10.dp), verticalAlignment = Alignment.CenterVertically) {
        Canvas(Modifier.width(40.dp).height(palette.stroke * 2)) {
            val y = size.height / 2
            drawLine(palette.block, Offset(0f, y), Offset(size.width, y), palette.stroke.toPx(), pathEffect = dashes())
        }
        Words(label, Look.type.footnote, Modifier.weight(1f), palette.block)
    }
}

/** Labels along the time axis, the last first; one that would touch a neighbour is left out. */
private fun DrawScope.drawXLabels(labels: List<Pair<ChartTick, TextLayoutResult>>, area: Area, gap: Float) {
    var free = size.width + gap * 2
    for ((tick, label) in labels.asReversed()) {
        val middle = area.x(tick.at)
        val x = (middle - label.size.width / 2f).coerceIn(0f, max(0f, size.width - label.size.width))
        if (x + label.size.width > free - gap * 2) continue
        drawText(label, topLeft = Offset(x, area.bottom + gap / 2))
        free = x
    }
}

/** Where the chart's units fall on the canvas. */
private class Area(
    val left: Float,
    val top: Float,
    val right: Float,
    val bottom: Float,
    private val chart: ChartContent,
) {
    fun x(v: Double) = left + fraction(v, chart.x) * (right - left)

    fun y(v: Double) = bottom - fraction(v, chart.y) * (bottom - top)

    fun path(points: List<ChartPoint>) =
        Path().apply {
            points
                .filter { it.x.isFinite() && it.y.isFinite() }
                .forEachIndexed { i, p -> if (i == 0) moveTo(x(p.x), y(p.y)) else lineTo(x(p.x), y(p.y)) }
        }

    private fun fraction(v: Double, range: ClosedFloatingPointRange<Double>): Float {
        val span = range.endInclusive - range.start
        return if (span > 0) ((v - range.start) / span).toFloat() else MIDDLE
    }
}

/** Where on its axis a value stands that has no range about it. */
private const val MIDDLE = 0.5f
