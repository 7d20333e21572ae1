package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.Image
import androidx.compose.foundation.border
import androidx.compose.foundation.clickable
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.aspectRatio
import androidx.compose.foundation.layout.fillMaxSize
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.layout.size
import androidx.compose.foundation.layout.widthIn
import androidx.compose.runtime.Composable
import androidx.compose.runtime.Immutable
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.clip
import androidx.compose.ui.geometry.CornerRadius
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.ColorFilter
import androidx.compose.ui.graphics.ColorMatrix
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.graphics.Path
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.layout.ContentScale
import androidx.compose.ui.semantics.Role
import androidx.compose.ui.semantics.clearAndSetSemantics
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.role
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.drawText
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.unit.dp
import kotlin.math.PI
import kotlin.math.cos
import kotlin.math.min
import kotlin.math.sin

/** Weights of red, green and blue in what the eye calls bright (ITU-R BT.709, luma). */
private val brightness = floatArrayOf(0.2126f, 0.7152f, 0.0722f)

/** At night a photo is drawn in shades of the ink: in its own colours it would be the lamp in the room. */
private fun Palette.photoFilter(): ColorFilter? {
    if (isLight) return null
    val rows = listOf(ink.red, ink.green, ink.blue).flatMap { c -> brightness.map { it * c } + listOf(0f, 0f) }
    return ColorFilter.colorMatrix(ColorMatrix((rows + listOf(0f, 0f, 0f, 1f, 0f)).toFloatArray()))
}

/** A photo beside its note; a tap shows it large. Without a [picture] its frame says that it is missing. */
@Composable
fun PhotoRow(
    picture: ImageBitmap?,
    broken: Boolean,
    caption: String,
    footnote: String,
    onClick: () -> Unit,
    modifier: Modifier = Modifier,
) {
    val palette = Look.palette
    Row(
        modifier
            .fillMaxWidth()
            .clip(corners)
            .clickable(role = Role.Button, onClick = onClick)
            .padding(vertical = Measures.smallGap)
            .semantics(mergeDescendants = true) {},
        horizontalArrangement = Arrangement.spacedBy(14.dp),
        verticalAlignment = Alignment.CenterVertically,
    ) {
        Box(
            Modifier.size(112.dp)
                .clip(corners)
                .border(palette.stroke, if (broken) palette.block else palette.line, corners),
            Alignment.Center,
        ) {
            if (picture != null) Filling(picture)
            if (broken) StateMark(Mark.Struck, size = 40.dp)
        }
        Column(Modifier.weight(1f)) {
            if (caption.isNotEmpty())
                Words(caption, Look.type.text, color = (if (broken) Weight.Blocks else Weight.Plain).color())
            Words(footnote, Look.type.footnote, color = palette.soft)
        }
    }
}

/** A photo as a sign beside what it was taken of; what it shows is said where it stands large. Its room is kept. */
@Composable
fun SmallPicture(picture: ImageBitmap?) =
    Box(Modifier.size(52.dp).clip(corners)) { if (picture != null) Filling(picture) }

/** A photo that fills its box, cut to it. */
@Composable
private fun Filling(picture: ImageBitmap) =
    Image(
        picture,
        null,
        Modifier.fillMaxSize(),
        contentScale = ContentScale.Crop,
        colorFilter = Look.palette.photoFilter(),
    )

/** Width by height beyond which a photo would leave no room on the page, or be a line. */
private const val TALLEST = 0.4f
private const val WIDEST = 3f

/**
 * A photo as wide as the page. Without a [picture] its frame stands empty, struck through where the file is [broken].
 */
@Composable
fun LargePhoto(
    picture: ImageBitmap?,
    broken: Boolean,
    spoken: String,
    modifier: Modifier = Modifier,
    marks: List<PictureMark> = emptyList(),
    pen: Pen? = null,
) {
    val palette = Look.palette
    val shape = picture?.let { it.width.toFloat() / it.height } ?: (4f / 3f)
    Box(
        modifier
            .fillMaxWidth()
            .aspectRatio(shape.coerceIn(TALLEST, WIDEST))
            .clip(corners)
            .border(palette.stroke, if (broken) palette.block else palette.line, corners)
            .semantics {
                contentDescription = spoken
                role = Role.Image
            },
        Alignment.Center,
    ) {
        if (picture != null)
            Image(
                picture,
                null,
                Modifier.fillMaxSize(),
                contentScale = ContentScale.Fit,
                colorFilter = palette.photoFilter(),
            )
        if (picture != null && (marks.isNotEmpty() || pen != null)) SketchLayer(marks, pen, shape)
        if (broken) StateMark(Mark.Struck, size = 64.dp)
    }
}

/** One screw: its turn in the crossing order, its place in a unit square with y downwards. */
@Immutable data class Screw(val turn: Int, val x: Float, val y: Float)

/** The head of a screw, a flat at each side. */
private fun hexagon(middle: Offset, radius: Float) =
    Path().apply {
        for (corner in 0 until CORNERS) {
            val angle = 2 * PI.toFloat() * corner / CORNERS
            val at = middle + Offset(radius * HEAD * cos(angle), radius * HEAD * sin(angle))
            if (corner == 0) moveTo(at.x, at.y) else lineTo(at.x, at.y)
        }
        close()
    }

private const val CORNERS = 6

/** So that the flats lie where a disc would end. */
private const val HEAD = 1.15f

/** The order in which screws are tightened: each carries its turn, and a line leads from turn to turn. */
@Composable
fun CrossingOrder(screws: List<Screw>, circle: Boolean, spoken: String, modifier: Modifier = Modifier) {
    val palette = Look.palette
    val measurer = rememberTextMeasurer()
    val style = Look.type.strong.copy(color = palette.ink)
    Box(modifier.fillMaxWidth().clearAndSetSemantics { contentDescription = spoken }, Alignment.Center) {
        Canvas(Modifier.widthIn(max = 340.dp).fillMaxWidth().aspectRatio(1f)) {
            val labels = screws.map { measurer.measure(it.turn.toString(), style) }
            // A head holds its number at any font scale, and leaves room for its neighbour.
            val largest = labels.maxOfOrNull { maxOf(it.size.width, it.size.height) } ?: 0
            val radius = maxOf(largest * 0.62f, 18.dp.toPx())
            val stroke = palette.stroke.toPx()
            val side = min(size.width, size.height) - 2 * radius - 2 * stroke
            val start = Offset((size.width - side) / 2, (size.height - side) / 2)
            fun at(s: Screw) = Offset(start.x + s.x * side, start.y + s.y * side)
            if (circle) {
                drawCircle(palette.line, side / 2, Offset(size.width / 2, size.height / 2), style = Stroke(stroke))
            } else {
                drawRoundRect(palette.line, start, Size(side, side), CornerRadius(12.dp.toPx()), Stroke(stroke))
            }
            val inOrder = screws.sortedBy { it.turn }
            for ((a, b) in inOrder.zipWithNext()) drawLine(palette.line, at(a), at(b), stroke / 2)
            for ((screw, label) in screws.zip(labels)) {
                val middle = at(screw)
                val first = screw.turn == 1
                val head = hexagon(middle, radius)
                drawPath(head, palette.raised)
                drawPath(
                    head,
                    if (first) palette.ink else palette.line,
                    style = Stroke(if (first) stroke * 2 else stroke),
                )
                drawText(label, topLeft = middle - Offset(label.size.width / 2f, label.size.height / 2f))
            }
        }
    }
}
