package org.slackwater.ui.design

import androidx.compose.foundation.BorderStroke
import androidx.compose.foundation.background
import androidx.compose.foundation.border
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.RowScope
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.heightIn
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.layout.size
import androidx.compose.foundation.selection.selectable
import androidx.compose.foundation.selection.toggleable
import androidx.compose.foundation.shape.RoundedCornerShape
import androidx.compose.material3.Surface
import androidx.compose.runtime.Composable
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.drawBehind
import androidx.compose.ui.geometry.CornerRadius
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.geometry.Size
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.PathEffect
import androidx.compose.ui.graphics.RectangleShape
import androidx.compose.ui.graphics.Shape
import androidx.compose.ui.graphics.drawscope.Stroke
import androidx.compose.ui.graphics.drawscope.clipRect
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.semantics.Role
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.disabled
import androidx.compose.ui.semantics.role
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.style.TextAlign
import androidx.compose.ui.text.style.TextDecoration
import androidx.compose.ui.unit.dp

internal val corners: Shape = RoundedCornerShape(6.dp)
internal val fieldCorners: Shape = RoundedCornerShape(4.dp)

/** How far the rim of the key lies within its edge. */
private val RIM = 4.dp

/** How wide the hatched edge is of what can't be undone. */
private val WARNING = 20.dp

/** A dashed outline: what can't be done now. */
@Composable
private fun Modifier.dashed(): Modifier {
    val palette = Look.palette
    return drawBehind {
        val width = palette.stroke.toPx()
        drawRoundRect(
            palette.line,
            Offset(width / 2, width / 2),
            Size(size.width - width, size.height - width),
            CornerRadius(6.dp.toPx()),
            Stroke(width, pathEffect = PathEffect.dashPathEffect(floatArrayOf(8.dp.toPx(), 5.dp.toPx()))),
        )
    }
}

/** The hatched edge of what can't be undone. */
@Composable
private fun Modifier.warning(): Modifier {
    val palette = Look.palette
    return drawBehind {
            val width = WARNING.toPx()
            clipRect(0f, 0f, width, size.height) { hatch(palette.block, 9.dp.toPx(), 3.dp.toPx()) }
            drawLine(palette.block, Offset(width, 0f), Offset(width, size.height), palette.stroke.toPx())
        }
        .padding(start = WARNING)
}

/**
 * The one wide target at the bottom of a screen: filled, with a rim within its edge, for what adds or records.
 *
 * @param unavailable why it can't be tapped now; it is then a dashed outline with the reason in it.
 * @param blocks for an action that takes something away: hatched at its edge, and never filled.
 */
@Composable
fun MainAction(
    text: String,
    onClick: () -> Unit,
    modifier: Modifier = Modifier,
    unavailable: String? = null,
    blocks: Boolean = false,
) {
    val palette = Look.palette
    val on = if (unavailable != null) palette.soft else if (blocks) palette.block else palette.onAccent
    val inner: @Composable () -> Unit = {
        Column(
            Modifier.heightIn(min = Measures.mainTarget).padding(horizontal = 18.dp, vertical = 10.dp),
            verticalArrangement = Arrangement.Center,
            horizontalAlignment = Alignment.CenterHorizontally,
        ) {
            Words(text, Look.type.key, color = on, align = TextAlign.Center)
            if (!unavailable.isNullOrEmpty())
                Words(unavailable, Look.type.footnote, color = palette.soft, align = TextAlign.Center)
        }
    }
    if (unavailable != null) {
        Box(
            modifier
                .fillMaxWidth()
                .semantics(mergeDescendants = true) {
                    role = Role.Button
                    disabled()
                }
                .dashed(),
            Alignment.Center,
        ) {
            inner()
        }
        return
    }
    Surface(
        onClick,
        modifier.fillMaxWidth().semantics { role = Role.Button },
        shape = corners,
        color = if (blocks) palette.paper else palette.key,
        border = if (blocks) BorderStroke(palette.stroke, palette.block) else null,
    ) {
        Box(if (blocks) Modifier.warning() else Modifier.rim(), Alignment.Center) { inner() }
    }
}

@Composable
private fun Modifier.rim(): Modifier {
    val palette = Look.palette
    return drawBehind {
        val off = RIM.toPx()
        drawRoundRect(
            palette.rim,
            Offset(off, off),
            Size(size.width - 2 * off, size.height - 2 * off),
            CornerRadius(3.dp.toPx()),
            Stroke(palette.thin.toPx()),
        )
    }
}

/** A thin line above and below a row. */
@Composable
internal fun Modifier.ruled(): Modifier {
    val palette = Look.palette
    return drawBehind {
        val width = palette.thin.toPx()
        drawLine(palette.rule, Offset(0f, width / 2), Offset(size.width, width / 2), width)
        drawLine(palette.rule, Offset(0f, size.height), Offset(size.width, size.height), width)
    }
}

/**
 * A row that leads somewhere: no box, its name in the accent, an arrow. What takes something away is boxed and hatched.
 *
 * @param detail what stands beneath: where, since when, why.
 * @param does what the tap does, where [text] names the thing and not the action.
 * @param unavailable why it can't be tapped now.
 */
@Composable
fun ActionRow(
    text: String,
    onClick: () -> Unit,
    modifier: Modifier = Modifier,
    detail: String? = null,
    footnote: String? = null,
    does: String? = null,
    mark: Mark? = null,
    icon: Icon? = Icon.Onward,
    blocks: Boolean = false,
    unavailable: String? = null,
    describedAs: String? = null,
    picture: (@Composable () -> Unit)? = null,
) {
    val palette = Look.palette
    val color = if (unavailable != null) palette.soft else if (blocks) palette.block else palette.accent
    // Only the tap takes something away; the thing itself may be in order.
    val warns = blocks && unavailable == null && does == null
    val inner: @Composable () -> Unit = {
        Row(
            (if (warns) Modifier.warning().padding(end = 12.dp) else Modifier)
                .fillMaxWidth()
                .heightIn(min = Measures.row)
                .padding(start = if (warns) 12.dp else 0.dp, top = 8.dp, bottom = 8.dp),
            horizontalArrangement = Arrangement.spacedBy(14.dp),
            verticalAlignment = Alignment.CenterVertically,
        ) {
            if (mark != null) StateMark(mark)
            Column(Modifier.weight(1f)) {
                // Where the tap has a name of its own, the thing is in ink and the tap in the accent.
                Words(text, Look.type.strong, color = if (does == null) color else palette.ink)
                if (detail != null) Words(detail, Look.type.footnote)
                if (does != null) Words(does, Look.type.strong, color = color)
                if (!unavailable.isNullOrEmpty()) Words(unavailable, Look.type.footnote, color = palette.soft)
                if (footnote != null) Words(footnote, Look.type.footnote, color = palette.soft)
            }
            // At the largest type the words need the room more than the sign does.
            val room = icon != Icon.Onward || LocalDensity.current.fontScale < 1.6f
            if (picture != null && room) picture()
            if (icon != null && unavailable == null && room) Sign(icon, color = color)
        }
    }
    val frame = if (warns) modifier.fillMaxWidth() else modifier.fillMaxWidth().ruled()
    if (unavailable != null) {
        Box(
            frame.semantics(mergeDescendants = true) {
                role = Role.Button
                disabled()
            }
        ) {
            inner()
        }
        return
    }
    Surface(
        onClick,
        frame.semantics {
            role = Role.Button
            if (describedAs != null) contentDescription = describedAs
        },
        shape = if (warns) fieldCorners else RectangleShape,
        color = Color.Transparent,
        border = if (warns) BorderStroke(palette.stroke, palette.block) else null,
        content = inner,
    )
}

/** A fact that can't be tapped: no border, ink only. Read aloud as one. */
@Composable
fun FactRow(
    text: String,
    modifier: Modifier = Modifier,
    detail: String? = null,
    footnote: String? = null,
    mark: Mark? = null,
    weight: Weight = Weight.Plain,
) {
    Row(
        modifier.fillMaxWidth().padding(vertical = Measures.smallGap).semantics(mergeDescendants = true) {},
        horizontalArrangement = Arrangement.spacedBy(14.dp),
        verticalAlignment = Alignment.CenterVertically,
    ) {
        if (mark != null) StateMark(mark)
        Column(Modifier.weight(1f)) {
            Words(text, if (detail == null) Look.type.text else Look.type.strong, color = weight.color())
            if (detail != null) Words(detail, Look.type.text)
            if (footnote != null) Words(footnote, Look.type.footnote, color = Look.palette.soft)
        }
    }
}

/** A thing to tick. The tick is a drawn line in a box; the box is never the target, the row is. */
@Composable
fun TickRow(
    text: String,
    ticked: Boolean,
    onTick: (Boolean) -> Unit,
    modifier: Modifier = Modifier,
    detail: String? = null,
) {
    val palette = Look.palette
    Row(
        modifier
            .fillMaxWidth()
            .ruled()
            .toggleable(ticked, role = Role.Checkbox, onValueChange = onTick)
            .heightIn(min = Measures.row)
            .padding(vertical = 8.dp),
        horizontalArrangement = Arrangement.spacedBy(14.dp),
        verticalAlignment = Alignment.CenterVertically,
    ) {
        Box(
            Modifier.size(signSize(30.dp)).background(palette.raised).border(palette.stroke, palette.accent),
            Alignment.Center,
        ) {
            if (ticked) Sign(Icon.Tick, size = 22.dp)
        }
        ChoiceWords(text, detail, true)
    }
}

/** One of several that exclude each other, which stand in one box: the chosen one is bold in a heavy frame. */
@Composable
fun ChoiceRow(
    text: String,
    chosen: Boolean,
    onChoose: () -> Unit,
    modifier: Modifier = Modifier,
    detail: String? = null,
) {
    val palette = Look.palette
    Row(
        modifier
            .fillMaxWidth()
            .background(palette.raised)
            .border(if (chosen) palette.strongStroke else palette.thin, if (chosen) palette.accent else palette.line)
            .selectable(chosen, role = Role.RadioButton, onClick = onChoose)
            .heightIn(min = Measures.row)
            .padding(horizontal = 16.dp, vertical = 8.dp),
        verticalAlignment = Alignment.CenterVertically,
    ) {
        ChoiceWords(text, detail, chosen)
    }
}

@Composable
private fun RowScope.ChoiceWords(text: String, detail: String?, strong: Boolean) =
    Column(Modifier.weight(1f)) {
        Words(text, if (strong) Look.type.strong else Look.type.text, color = Look.palette.accent)
        if (detail != null) Words(detail, Look.type.footnote)
    }

/**
 * A smaller target that stands inside another part (undo, add a photo).
 *
 * @param describedAs what it is called where the words on it don't say what they belong to.
 */
@Composable
fun SmallAction(
    text: String,
    onClick: () -> Unit,
    modifier: Modifier = Modifier,
    icon: Icon? = null,
    describedAs: String? = null,
    color: Color = Look.palette.accent,
) =
    Surface(
        onClick,
        modifier.semantics {
            role = Role.Button
            if (describedAs != null) contentDescription = describedAs
        },
        shape = fieldCorners,
        color = Look.palette.raised,
        border = BorderStroke(Look.palette.stroke, color),
    ) {
        Row(
            Modifier.heightIn(min = Measures.target).padding(horizontal = 16.dp, vertical = 8.dp),
            horizontalArrangement = Arrangement.spacedBy(10.dp, Alignment.CenterHorizontally),
            verticalAlignment = Alignment.CenterVertically,
        ) {
            if (icon != null) Sign(icon, color = color)
            Words(text, Look.type.strong, color = color, align = TextAlign.Center)
        }
    }

/** Text of an entry that a later one took back: struck through, still to be read. */
@Composable
fun StruckText(text: String, modifier: Modifier = Modifier) =
    Words(text, Look.type.text, modifier, Look.palette.soft, decoration = TextDecoration.LineThrough)

/** A thing with its state: its name largest, then what it is in, and why. */
@Composable
fun AnswerRow(
    name: String,
    answer: String,
    mark: Mark?,
    onClick: () -> Unit,
    modifier: Modifier = Modifier,
    weight: Weight = Weight.Plain,
    footnote: String? = null,
) {
    val palette = Look.palette
    Surface(
        onClick,
        modifier.fillMaxWidth().ruled().semantics { role = Role.Button },
        shape = RectangleShape,
        color = Color.Transparent,
    ) {
        Row(
            Modifier.fillMaxWidth().padding(vertical = 12.dp),
            horizontalArrangement = Arrangement.spacedBy(12.dp),
            verticalAlignment = Alignment.CenterVertically,
        ) {
            Column(Modifier.weight(1f), verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
                Words(name, Look.type.lead, color = palette.accent)
                Row(horizontalArrangement = Arrangement.spacedBy(10.dp)) {
                    if (mark != null) StateMark(mark)
                    Words(answer, Look.type.strong, Modifier.weight(1f), weight.color())
                }
                if (footnote != null) Words(footnote, Look.type.footnote, color = palette.soft)
            }
            Sign(Icon.Onward)
        }
    }
}

/** The answer of a screen with its mark. */
@Composable
fun MarkedAnswer(
    text: String,
    mark: Mark?,
    modifier: Modifier = Modifier,
    weight: Weight = Weight.Plain,
    color: Color = weight.color(),
) =
    Row(
        modifier.fillMaxWidth(),
        horizontalArrangement = Arrangement.spacedBy(16.dp),
        verticalAlignment = Alignment.Top,
    ) {
        if (mark != null) StateMark(mark, size = 52.dp, color = color)
        Answer(text, Modifier.weight(1f), weight, color)
    }

/** One of the two answers of an [EitherRow]; [unavailable] says why it can't be given now. */
class Way(val text: String, val onClick: () -> Unit, val unavailable: String? = null, val blocks: Boolean = false)

/** A thing with two ways to answer, each a target of its own beneath it: "it works", "it does not". */
@Composable
fun EitherRow(
    text: String,
    one: Way,
    two: Way,
    modifier: Modifier = Modifier,
    detail: String? = null,
    footnote: String? = null,
    mark: Mark? = null,
    weight: Weight = Weight.Plain,
) =
    Column(
        modifier.fillMaxWidth().padding(bottom = Measures.gap),
        verticalArrangement = Arrangement.spacedBy(Measures.smallGap),
    ) {
        FactRow(text, detail = detail, footnote = footnote, mark = mark, weight = weight)
        val unavailable = listOfNotNull(one.unavailable, two.unavailable).filter { it.isNotEmpty() }.distinct()
        for (why in unavailable) Words(why, Look.type.text, color = Look.palette.soft)
        if (LocalDensity.current.fontScale > Measures.sideBySide) {
            WayAction(text, one, Modifier.fillMaxWidth())
            WayAction(text, two, Modifier.fillMaxWidth())
        } else {
            Row(horizontalArrangement = Arrangement.spacedBy(Measures.gap)) {
                WayAction(text, one, Modifier.weight(1f))
                WayAction(text, two, Modifier.weight(1f))
            }
        }
    }

@Composable
private fun WayAction(of: String, way: Way, modifier: Modifier = Modifier) {
    // What can't be done now is read, not tapped.
    if (way.unavailable != null) {
        Box(modifier.heightIn(min = Measures.target), contentAlignment = Alignment.Center) {
            Words(way.text, Look.type.strong, color = Look.palette.soft, align = TextAlign.Center)
        }
        return
    }
    val color = if (way.blocks) Look.palette.block else Look.palette.accent
    SmallAction(way.text, way.onClick, modifier, describedAs = "$of: ${way.text}", color = color)
}
