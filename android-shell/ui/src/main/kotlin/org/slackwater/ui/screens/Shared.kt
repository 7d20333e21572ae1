package org.slackwater.ui.screens

import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.lazy.LazyListScope
import androidx.compose.runtime.Composable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.produceState
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.platform.LocalDensity
import org.slackwater.core.Action
import org.slackwater.core.Button
import org.slackwater.core.Line
import org.slackwater.core.MapShape
import org.slackwater.core.Mark as CoreMark
import org.slackwater.core.PhotoTile
import org.slackwater.core.Quantity
import org.slackwater.core.RigMap
import org.slackwater.core.Row as CoreRow
import org.slackwater.core.Severity
import org.slackwater.core.ShellWords
import org.slackwater.ui.core.AppState
import org.slackwater.ui.design.ActionRow
import org.slackwater.ui.design.Back
import org.slackwater.ui.design.Confirm
import org.slackwater.ui.design.EitherRow
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Icon
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.MapForm
import org.slackwater.ui.design.MapThing
import org.slackwater.ui.design.Mark
import org.slackwater.ui.design.Measures
import org.slackwater.ui.design.NumberWithUnit
import org.slackwater.ui.design.PhotoRow
import org.slackwater.ui.design.Question
import org.slackwater.ui.design.RigMapDrawing
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.SmallAction
import org.slackwater.ui.design.SmallPicture
import org.slackwater.ui.design.Trigger
import org.slackwater.ui.design.Way
import org.slackwater.ui.design.Weight
import org.slackwater.ui.design.part
import org.slackwater.ui.design.rememberTrigger
import org.slackwater.ui.design.tells

/** What every screen needs beside its record. */
class Frame(val state: AppState, val confirm: Confirm) {
    val words: ShellWords
        get() = state.words

    val back: Back?
        get() =
            if (state.canGoBack)
                Back(words.back) {
                    confirm.drop()
                    state.back()
                }
            else null

    fun send(action: Action) = state.act(action)
}

/** A button as the layout needs it. */
class Tap(
    val label: String,
    private val enabled: Boolean,
    private val whyNot: String?,
    val confirm: String?,
    val act: () -> Unit,
) {
    /** Why it can't be tapped; the label's own words where the core gives no reason. */
    val unavailable: String?
        get() = if (enabled) null else whyNot ?: ""
}

/** A row as the layout needs it. */
class Item(
    val title: String,
    val detail: String,
    val footnote: String?,
    val mark: CoreMark?,
    val severity: Severity,
    val tap: Tap?,
    val other: Tap?,
    val photo: PhotoTile? = null,
)

fun Button.tap(frame: Frame) = Tap(label, enabled, whyNot, confirm) { frame.send(action) }

fun CoreRow.item(frame: Frame) =
    Item(title, detail, footnote, mark, severity, tap?.tap(frame), other?.tap(frame), photo)

val CoreMark.shape: Mark
    get() =
        when (this) {
            CoreMark.FULL -> Mark.Full
            CoreMark.HALF -> Mark.Half
            CoreMark.HOLLOW -> Mark.Hollow
            CoreMark.HATCHED -> Mark.Hatched
            CoreMark.STRUCK -> Mark.Struck
        }

val Severity.weight: Weight
    get() = if (this == Severity.BLOCKING) Weight.Blocks else Weight.Plain

/** Does what a button does, or asks first. */
private fun Frame.question(tap: Tap): Question? =
    tap.confirm?.let { Question(it, yes = tap.label, no = words.no, onYes = tap.act) }

/** A button as the main action. */
fun Frame.main(tap: Tap?): Main? = tap?.let {
    Main(it.label, it.unavailable, blocks = it.confirm != null) {
        val asks = question(it)
        if (asks == null) it.act() else confirm.askFromMain(asks)
    }
}

/** A button as a row; [of] says aloud what it belongs to where several have one label. */
@Composable
fun Frame.TapRow(tap: Tap, icon: Icon? = null, of: String? = null) {
    val trigger = rememberTrigger()
    ActionRow(
        tap.label,
        { question(tap)?.let { confirm.ask(it, trigger) } ?: tap.act() },
        Modifier.tells(trigger),
        icon = icon,
        blocks = tap.confirm != null,
        unavailable = tap.unavailable,
        describedAs = of?.let { "$it: ${tap.label}" },
    )
}

/** A button as one of two ways to answer: it asks first where the other buttons do. */
private fun Frame.way(tap: Tap, trigger: Trigger) =
    Way(
        tap.label,
        { question(tap)?.let { confirm.ask(it, trigger) } ?: tap.act() },
        tap.unavailable,
        blocks = tap.confirm != null,
    )

/** The map of a rig: a part does what its row does, and asks first where that does. */
@Composable
fun Frame.RigMap(map: RigMap) {
    val trigger = rememberTrigger()
    val things =
        map.parts.map { part ->
            val tap = part.tap?.tap(this)?.takeIf { it.unavailable == null }
            MapThing(
                part.shape.form,
                Rect(part.x, part.y, part.x + part.width, part.y + part.height),
                part.solid,
                part.off,
                part.mark.shape,
                part.letter,
                part.name.orEmpty(),
                tap?.let { { question(it)?.let { asks -> confirm.ask(asks, trigger) } ?: it.act() } },
            )
        }
    RigMapDrawing(things, map.height, map.spoken, Modifier.tells(trigger))
}

private val MapShape.form: MapForm
    get() =
        when (this) {
            MapShape.BODY -> MapForm.Body
            MapShape.PORT -> MapForm.Port
            MapShape.RING -> MapForm.Ring
            MapShape.COVER -> MapForm.Cover
            MapShape.SEAL -> MapForm.Seal
            MapShape.THROUGH -> MapForm.Through
            MapShape.PLUG -> MapForm.Plug
        }

/** A row of a record: a target where it can be tapped, a fact where it can't. */
@Composable
fun Frame.ItemRow(item: Item) {
    val tap = item.tap
    val other = item.other
    if (tap != null && other != null) {
        val trigger = rememberTrigger()
        EitherRow(
            item.title,
            way(tap, trigger),
            way(other, trigger),
            Modifier.tells(trigger),
            detail = item.detail.ifEmpty { null },
            footnote = item.footnote,
            mark = item.mark?.shape,
            weight = item.severity.weight,
        )
        return
    }
    if (tap == null) {
        FactRow(
            item.title,
            detail = item.detail.ifEmpty { null },
            footnote = item.footnote,
            mark = item.mark?.shape,
            weight = item.severity.weight,
        )
        return
    }
    val trigger = rememberTrigger()
    ActionRow(
        item.title,
        { question(tap)?.let { confirm.ask(it, trigger) } ?: tap.act() },
        Modifier.tells(trigger),
        detail = item.detail.ifEmpty { null },
        footnote = item.footnote,
        does = tap.label.takeIf { it != item.title && it.isNotEmpty() },
        mark = item.mark?.shape,
        blocks = tap.confirm != null,
        unavailable = tap.unavailable,
        picture = item.photo?.let { { SmallPicture(picture(it)) } },
    )
}

/** Sentences with their marks. */
fun LazyListScope.lines(lines: List<Line>) {
    for (line in lines) part { FactRow(line.text, mark = line.mark?.shape, weight = line.severity.weight) }
}

/** Figures, each with unit and uncertainty. */
fun LazyListScope.quantities(title: String?, quantities: List<Quantity>) {
    if (quantities.isEmpty()) return
    if (title != null) part { SectionTitle(title) }
    // Two short ones that follow each other stand side by side where the type leaves room.
    var i = 0
    while (i < quantities.size) {
        val pair = quantities.drop(i).take(2).takeWhile { it.isShort() }.ifEmpty { listOf(quantities[i]) }
        part { SideBySide(pair) }
        i += pair.size
    }
}

/** Letters that half a page holds of a figure with its unit, and of its label. */
private const val HALF_FIGURE = 14
private const val HALF_LABEL = 24

private fun Quantity.isShort() = value.length + unit.length <= HALF_FIGURE && label.length <= HALF_LABEL

@Composable
private fun SideBySide(pair: List<Quantity>) {
    if (LocalDensity.current.fontScale > Measures.sideBySide || pair.size < 2) {
        for (q in pair) Figure(q)
        return
    }
    Row(horizontalArrangement = Arrangement.spacedBy(Measures.gap)) {
        for (q in pair) Box(Modifier.weight(1f)) { Figure(q) }
    }
}

/** A figure; what is a name and no number (a lens, a material) stands as text. */
@Composable
fun Figure(q: Quantity) {
    val isNumber = q.value.firstOrNull()?.let { it.isDigit() || it in "-−+<>≤≥" } == true && q.value.length <= 10
    if (isNumber)
        NumberWithUnit(
            q.value,
            q.unit,
            label = q.label.ifEmpty { null },
            uncertainty = q.uncertainty,
            // A figure without a label is what the answer above it speaks of.
            large = q.label.isEmpty(),
            spoken = q.spoken,
        )
    else
        FactRow(
            q.label,
            detail = listOf(q.value, q.unit).filter { it.isNotEmpty() }.joinToString("\u00A0"),
            footnote = q.uncertainty,
        )
}

/** Photos with their notes, and the action that adds one. */
fun LazyListScope.photos(frame: Frame, photos: List<PhotoTile>, subject: String?) {
    if (photos.isEmpty() && subject.isNullOrEmpty()) return
    part { SectionTitle(frame.words.photos) }
    for (photo in photos) part { Photo(frame, photo) }
    if (!subject.isNullOrEmpty()) {
        part { SmallAction(frame.words.addPhoto, { frame.state.takePhoto(subject) }, icon = Icon.Camera) }
        part { SmallAction(frame.words.choosePhoto, { frame.state.pickPhoto(subject) }) }
    }
}

/** The small picture of a photo, once it is read; null until then, or if it can't be had. */
@Composable
private fun Frame.picture(tile: PhotoTile): ImageBitmap? =
    produceState<ImageBitmap?>(null, tile) { value = state.picture(tile) }.value

@Composable
private fun Photo(frame: Frame, tile: PhotoTile) {
    PhotoRow(
        frame.picture(tile),
        tile.broken,
        tile.caption,
        tile.footnote,
        onClick = { frame.state.go(tile.at) },
    )
}
