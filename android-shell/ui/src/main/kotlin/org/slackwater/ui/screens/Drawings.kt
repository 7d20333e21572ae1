package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import androidx.compose.ui.geometry.Offset
import kotlin.math.roundToInt
import org.slackwater.core.Block
import org.slackwater.core.DrawingShape
import org.slackwater.core.FastenerDrawing
import org.slackwater.core.Form
import org.slackwater.core.HoldChart
import org.slackwater.core.PhotoMark
import org.slackwater.core.TrimDrawing
import org.slackwater.core.TrimShapeKind
import org.slackwater.ui.design.ChartContent
import org.slackwater.ui.design.ChartLimit
import org.slackwater.ui.design.ChartPoint
import org.slackwater.ui.design.ChartTick
import org.slackwater.ui.design.CrossingOrder as CrossingOrderPart
import org.slackwater.ui.design.Pen
import org.slackwater.ui.design.PictureMark
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

fun TrimDrawing.view(frame: Frame) =
    View(
        height,
        shapes.map { shape ->
            SpotShape(shape.kind.stroke, shape.spots.map { Spot(it.x, it.y) }, shape.tap?.tap(frame)?.act)
        },
        labels.map { SpotLabel(Spot(it.at.x, it.at.y), it.text) },
        spoken,
    )

/** So many parts the core divides a picture's width and height into. */
private const val PARTS = 1_000f

private fun place(x: UShort, y: UShort) = Offset(x.toInt() / PARTS, y.toInt() / PARTS)

fun PhotoMark.drawn(): PictureMark =
    when (this) {
        is PhotoMark.Arrow -> PictureMark.Arrow(place(fromX, fromY), place(toX, toY))
        is PhotoMark.Ring -> PictureMark.Ring(place(fromX, fromY), place(toX, toY))
        is PhotoMark.Words -> PictureMark.Words(place(x, y), text)
    }

/** What a drag over the photo fills in and sends; none where it isn't drawn over. */
fun Frame.pen(block: Block.LargePhoto): Pen? = block.draw?.let { form -> block.template?.let { pen(form, it.drawn()) } }

private fun Frame.pen(form: Form, template: PictureMark): Pen {
    val keys = form.fields.map { it.key }
    return Pen(
        length = "to_x" in keys,
        mark = { from, to ->
            when (template) {
                is PictureMark.Arrow -> PictureMark.Arrow(from, to)
                is PictureMark.Ring -> PictureMark.Ring(from, to)
                is PictureMark.Words -> template.copy(at = from)
            }
        },
        onDrawn = { from, to ->
            fun fill(key: String, share: Float) {
                if (key in keys) state.type(form, key, (share * PARTS).roundToInt().toString())
            }
            fill("from_x", from.x)
            fill("from_y", from.y)
            fill("to_x", to.x)
            fill("to_y", to.y)
            state.submit(form)
        },
    )
}
