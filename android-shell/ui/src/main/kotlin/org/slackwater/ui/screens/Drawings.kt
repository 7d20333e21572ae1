package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.DrawingShape
import org.slackwater.core.FastenerDrawing
import org.slackwater.core.HoldChart
import org.slackwater.core.TrimDrawing
import org.slackwater.core.TrimShapeKind
import org.slackwater.ui.design.ChartContent
import org.slackwater.ui.design.ChartLimit
import org.slackwater.ui.design.ChartPoint
import org.slackwater.ui.design.ChartTick
import org.slackwater.ui.design.CrossingOrder as CrossingOrderPart
import org.slackwater.ui.design.Screw
import org.slackwater.ui.design.Spot
import org.slackwater.ui.design.SpotLabel
import org.slackwater.ui.design.SpotShape
import org.slackwater.ui.design.Stroke
import org.slackwater.ui.design.View

/** The core's drawings as the design draws them. */
@Composable
fun CrossingOrder(drawing: FastenerDrawing) =
    CrossingOrderPart(
        drawing.dots.map { Screw(it.turn.toInt(), it.x, it.y) },
        drawing.shape == DrawingShape.CIRCLE,
        drawing.spoken,
    )

fun HoldChart.content() =
    ChartContent(
        x = xMin..xMax,
        y = yMin..yMax,
        points = points.map { ChartPoint(it.x, it.y, it.aside) },
        fit = fit.map { ChartPoint(it.x, it.y) },
        bandLow = fit.map { ChartPoint(it.x, it.low) },
        bandHigh = fit.map { ChartPoint(it.x, it.high) },
        limit = if (fit.isEmpty()) null else ChartLimit(fit.map { ChartPoint(it.x, it.limit) }, limitLabel),
        xTicks = xTicks.map { ChartTick(it.at, it.label) },
        yTicks = yTicks.map { ChartTick(it.at, it.label) },
        xUnit = xUnit,
        yUnit = yUnit,
        spoken = spoken,
    )

val TrimShapeKind.stroke: Stroke
    get() =
        when (this) {
            TrimShapeKind.LEVEL -> Stroke.Level
            TrimShapeKind.PART -> Stroke.Outline
            TrimShapeKind.FREE -> Stroke.Dot
            TrimShapeKind.HANGS -> Stroke.Block
            TrimShapeKind.TO_CHANGE -> Stroke.OpenBlock
            TrimShapeKind.MASS_CENTRE -> Stroke.Down
            TrimShapeKind.LIFT_CENTRE -> Stroke.Up
        }

fun TrimDrawing.view() =
    View(
        height,
        shapes.map { shape -> SpotShape(shape.kind.stroke, shape.spots.map { Spot(it.x, it.y) }) },
        labels.map { SpotLabel(Spot(it.at.x, it.at.y), it.text) },
        spoken,
    )
