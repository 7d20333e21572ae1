package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.layout.size
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.Matrix
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.drawscope.DrawScope
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.unit.Dp
import androidx.compose.ui.unit.dp

/**
 * The shape that repeats a state which words have already told. No two share outline and amount of ink, none is a
 * circle (an empty one reads as a button to choose by), and all are one colour.
 */
enum class Mark {
    /** Proved, done: a plug in section. */
    Full,

    /** Begun: its seat, half full. */
    Half,

    /** Not yet: the empty seat. */
    Hollow,

    /** Waiting, or not certain: a diamond with bars in it. */
    Hatched,

    /** Stands in the way, or was taken back: a heavy saltire. */
    Struck,
}

/** Draws [mark]; the shape alone tells it. */
@Composable
fun StateMark(
    mark: Mark,
    modifier: Modifier = Modifier,
    size: Dp = 24.dp,
    color: Color = if (mark == Mark.Struck) Look.palette.block else Look.palette.ink,
) = Canvas(modifier.size(signSize(size))) { drawMark(mark, color) }

/** On a grid of 24, whatever the size. */
private fun DrawScope.drawMark(mark: Mark, color: Color) {
    val one = size.minDimension / GRID
    fun stroke(width: Float) = Stroke(width * one, miter = GRID)
    fun path(draw: Path.() -> Unit) = Path().apply(draw).apply { transform(Matrix().apply { scale(one, one) }) }
    val seat = path {
        moveTo(.8f, 4.3f)
        lineTo(5.7f, 4.3f)
        lineTo(5.7f, 18.6f)
        quadraticTo(5.7f, 20.3f, 7.4f, 20.3f)
        lineTo(16.6f, 20.3f)
        quadraticTo(18.3f, 20.3f, 18.3f, 18.6f)
        lineTo(18.3f, 4.3f)
        lineTo(23.2f, 4.3f)
    }
    when (mark) {
        Mark.Full ->
            drawPath(
                path {
                    moveTo(.8f, 2.4f)
                    for ((x, y) in PLUG) lineTo(x, y)
                    close()
                },
                color,
            )
        Mark.Half -> {
            drawPath(seat, color, style = stroke(SEAT))
            drawRect(color, Offset(5.5f * one, 12.2f * one), Size(13f * one, 8f * one))
        }
        Mark.Hollow -> drawPath(seat, color, style = stroke(SEAT))
        Mark.Hatched -> {
            val diamond = path {
                moveTo(12f, 1.8f)
                lineTo(22.2f, 12f)
                lineTo(12f, 22.2f)
                lineTo(1.8f, 12f)
                close()
            }
            drawPath(diamond, color, style = stroke(2.6f))
            for ((x, from, to) in
                listOf(Triple(8f, 8.5f, 15.5f), Triple(12f, 5f, 19f), Triple(16f, 8.5f, 15.5f))) drawLine(
                color,
                Offset(x * one, from * one),
                Offset(x * one, to * one),
                1.9f * one,
            )
        }
        Mark.Struck ->
            for ((from, to) in
                listOf(
                    Offset(3.2f, 3.2f) to Offset(20.8f, 20.8f),
                    Offset(20.8f, 3.2f) to Offset(3.2f, 20.8f),
                )) drawLine(color, from * one, to * one, 5.6f * one)
    }
}

private const val GRID = 24f
private const val SEAT = 3.1f

/** A flange, a groove on each side, the body. */
private val PLUG =
    listOf(
        23.2f to 2.4f,
        23.2f to 7.4f,
        21f to 7.4f,
        21f to 10.8f,
        17.8f to 10.8f,
        17.8f to 14f,
        21f to 14f,
        21f to 22.4f,
        3f to 22.4f,
        3f to 14f,
        6.2f to 14f,
        6.2f to 10.8f,
        3f to 10.8f,
        3f to 7.4f,
        .8f to 7.4f,
    )
