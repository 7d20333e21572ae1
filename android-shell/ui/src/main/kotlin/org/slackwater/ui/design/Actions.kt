package org.slackwater.ui.design

import androidx.compose.foundation.BorderStroke
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
import androidx.compose.foundation.shape.CircleShape
import androidx.compose.foundation.shape.RoundedCornerShape
import androidx.compose.material3.Surface
import androidx.compose.runtime.Composable
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.clip
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.Shape
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.semantics.Role
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.disabled
import androidx.compose.ui.semantics.role
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.style.TextAlign
import androidx.compose.ui.text.style.TextDecoration
import androidx.compose.ui.unit.dp

internal val corners: Shape = RoundedCornerShape(10.dp)

/**
 * The one wide target at the bottom of a screen.
 *
 * @param unavailable why it can't be tapped now; the reason then stands in it in place of a greyed word.
 * @param blocks for an action that takes something away.
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
    val color = if (blocks) palette.block else palette.accent
    val on = if (!palette.filled) color else if (blocks) palette.onBlock else palette.onAccent
    val inner: @Composable () -> Unit = {
        Column(
            Modifier.heightIn(min = Measures.mainTarget).padding(horizontal = 16.dp, vertical = 10.dp),
            verticalArrangement = Arrangement.Center,
            horizontalAlignment = Alignment.CenterHorizontally,
        ) {
            Words(
                text,
                Look.type.strong,
                color = if (unavailable == null) on else palette.soft,
                align = TextAlign.Center,
            )
            if (!unavailable.isNullOrEmpty())
                Words(unavailable, Look.type.text, color = palette.soft, align = TextAlign.Center)
        }
    }
    if (unavailable == null) {
        Surface(
            onClick,
            modifier.fillMaxWidth().semantics { role = Role.Button },
            shape = corners,
            color = if (palette.filled) color else palette.raised,
            border = BorderStroke(palette.strongStroke, color),
            content = inner,
        )
    } else {
        Surface(
            modifier.fillMaxWidth().semantics(mergeDescendants = true) {
                role = Role.Button
                disabled()
            },
            shape = corners,
            color = palette.paper,
            border = BorderStroke(palette.stroke, palette.line),
            content = inner,
        )
    }
}

/**
 * A row that does something or leads somewhere. What can be tapped is named in the accent.
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
) {
    val palette = Look.palette
    val color =
        when {
            unavailable != null -> palette.soft
            blocks -> palette.block
            else -> palette.accent
        }
    val inner: @Composable () -> Unit = {
        RowFrame {
            if (mark != null) StateMark(mark)
            Column(Modifier.weight(1f)) {
                // Where the tap has a name of its own, the thing is in ink and the tap in the accent.
                Words(text, Look.type.strong, color = if (does == null) color else palette.ink)
                if (detail != null) Words(detail, Look.type.text)
                if (does != null) Words(does, Look.type.strong, color = color)
                if (!unavailable.isNullOrEmpty()) Words(unavailable, Look.type.text, color = palette.soft)
                if (footnote != null) Words(footnote, Look.type.footnote, color = palette.soft)
            }
            // At the largest type the words need the room more than the sign does.
            val room = icon != Icon.Onward || LocalDensity.current.fontScale < 1.6f
            if (icon != null && unavailable == null && room) Sign(icon, color = color)
        }
    }
    // The thing itself may be in order though the tap takes something away: only then the tap is in the colour of what
    // blocks.
    val edge = if (unavailable != null) palette.line else if (does != null) palette.accent else color
    val border = BorderStroke(palette.stroke, edge)
    if (unavailable == null) {
        Surface(
            onClick,
            modifier.fillMaxWidth().semantics {
                role = Role.Button
                if (describedAs != null) contentDescription = describedAs
            },
            shape = corners,
            color = palette.raised,
            border = border,
            content = inner,
        )
    } else {
        Surface(
            modifier.fillMaxWidth().semantics(mergeDescendants = true) {
                role = Role.Button
                disabled()
            },
            shape = corners,
            color = palette.paper,
            border = border,
            content = inner,
        )
    }
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
    ChoiceFrame(ticked, modifier.clip(corners).toggleable(ticked, role = Role.Checkbox, onValueChange = onTick)) {
        Box(Modifier.size(signSize(32.dp)), Alignment.Center) {
            Surface(
                Modifier.size(signSize(30.dp)),
                RoundedCornerShape(5.dp),
                palette.paper,
                border = BorderStroke(palette.stroke, palette.accent),
            ) {}
            if (ticked) Sign(Icon.Tick, size = 22.dp)
        }
        ChoiceWords(text, detail)
    }
}

/** One of several that exclude each other. */
@Composable
fun ChoiceRow(
    text: String,
    chosen: Boolean,
    onChoose: () -> Unit,
    modifier: Modifier = Modifier,
    detail: String? = null,
) {
    val palette = Look.palette
    ChoiceFrame(chosen, modifier.clip(corners).selectable(chosen, role = Role.RadioButton, onClick = onChoose)) {
        Surface(
            Modifier.size(signSize(30.dp)),
            CircleShape,
            palette.paper,
            border = BorderStroke(palette.stroke, palette.accent),
        ) {
            if (chosen)
                Box(Modifier.padding(signSize(8.dp))) {
                    Surface(Modifier.size(signSize(14.dp)), CircleShape, palette.accent) {}
                }
        }
        ChoiceWords(text, detail)
    }
}

@Composable
private fun ChoiceFrame(chosen: Boolean, modifier: Modifier = Modifier, inner: @Composable RowScope.() -> Unit) {
    val palette = Look.palette
    Surface(
        modifier.fillMaxWidth(),
        corners,
        palette.raised,
        border =
            BorderStroke(
                if (chosen) palette.strongStroke else palette.stroke,
                if (chosen) palette.accent else palette.line,
            ),
    ) {
        RowFrame(content = inner)
    }
}

@Composable
private fun RowScope.ChoiceWords(text: String, detail: String?) =
    Column(Modifier.weight(1f)) {
        Words(text, Look.type.strong, color = Look.palette.accent)
        if (detail != null) Words(detail, Look.type.text)
    }

@Composable
internal fun RowFrame(modifier: Modifier = Modifier, content: @Composable RowScope.() -> Unit) =
    Row(
        modifier.fillMaxWidth().heightIn(min = Measures.target + 8.dp).padding(horizontal = 14.dp, vertical = 10.dp),
        horizontalArrangement = Arrangement.spacedBy(14.dp),
        verticalAlignment = Alignment.CenterVertically,
        content = content,
    )

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
        shape = corners,
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

/** A thing whose state is what one came to read: its name above, the state as large as an answer. */
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
        modifier.fillMaxWidth().semantics { role = Role.Button },
        shape = corners,
        color = palette.raised,
        border = BorderStroke(palette.stroke, palette.accent),
    ) {
        Column(Modifier.padding(horizontal = 14.dp, vertical = 12.dp)) {
            Row(
                Modifier.fillMaxWidth(),
                horizontalArrangement = Arrangement.spacedBy(14.dp),
                verticalAlignment = Alignment.CenterVertically,
            ) {
                Words(name, Look.type.strong, Modifier.weight(1f), palette.accent)
                Sign(Icon.Onward)
            }
            Row(
                Modifier.fillMaxWidth().heightIn(min = 44.dp),
                horizontalArrangement = Arrangement.spacedBy(12.dp),
                verticalAlignment = Alignment.CenterVertically,
            ) {
                if (mark != null) StateMark(mark, size = 34.dp)
                Words(answer, Look.type.answer, Modifier.weight(1f), weight.color())
            }
            if (footnote != null) Words(footnote, Look.type.footnote, color = palette.soft)
        }
    }
}

/** The answer of a screen with its mark. */
@Composable
fun MarkedAnswer(text: String, mark: Mark?, modifier: Modifier = Modifier, weight: Weight = Weight.Plain) =
    Row(
        modifier.fillMaxWidth(),
        horizontalArrangement = Arrangement.spacedBy(12.dp),
        verticalAlignment = Alignment.Top,
    ) {
        // As tall as the first line, so that the mark stands beside it however long the answer is.
        if (mark != null) StateMark(mark, Modifier.padding(top = signSize(6.dp)), size = 32.dp)
        Answer(text, Modifier.weight(1f), weight)
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
    Column(modifier.fillMaxWidth(), verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
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
