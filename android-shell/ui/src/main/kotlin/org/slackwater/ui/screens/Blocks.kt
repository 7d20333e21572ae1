package org.slackwater.ui.screens

import androidx.compose.foundation.lazy.LazyListScope
import androidx.compose.runtime.Composable
import androidx.compose.runtime.DisposableEffect
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.getValue
import androidx.compose.runtime.key
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.produceState
import androidx.compose.runtime.saveable.rememberSaveable
import androidx.compose.runtime.setValue
import androidx.compose.ui.graphics.ImageBitmap
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.platform.LocalWindowInfo
import kotlin.time.Duration.Companion.seconds
import kotlinx.coroutines.delay
import org.slackwater.core.Answer as CoreAnswer
import org.slackwater.core.Block
import org.slackwater.core.Field
import org.slackwater.core.FieldKind
import org.slackwater.core.Form
import org.slackwater.core.Mark as CoreMark
import org.slackwater.core.Page as CorePageRecord
import org.slackwater.core.Row as CoreRow
import org.slackwater.core.Severity
import org.slackwater.core.Watch
import org.slackwater.ui.core.Bar
import org.slackwater.ui.design.AnswerRow
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.Caution
import org.slackwater.ui.design.ChoiceRow
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.Head
import org.slackwater.ui.design.HoldChart
import org.slackwater.ui.design.Icon
import org.slackwater.ui.design.LargePhoto
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.Look
import org.slackwater.ui.design.Mark
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.Measures
import org.slackwater.ui.design.PadWords
import org.slackwater.ui.design.Page
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.StrokeLegend
import org.slackwater.ui.design.StrongText
import org.slackwater.ui.design.TickRow
import org.slackwater.ui.design.Undo
import org.slackwater.ui.design.ViewDrawing
import org.slackwater.ui.design.Weight
import org.slackwater.ui.design.color
import org.slackwater.ui.design.headed
import org.slackwater.ui.design.part

/** Any page of the core: its answer, its blocks in their order, and the one thing at the thumb. */
@Composable
fun CorePage(frame: Frame, page: CorePageRecord) {
    page.watch?.let { Watched(frame, it) }
    val first = page.firstNumber
    val pinned = first.takeIf { roomForThePad() && (page.watch != null || it?.of?.of?.isNotEmpty() == true) }
    Page(
        page.title,
        page.detail.ifEmpty { null },
        frame.back,
        main = frame.main(page.main?.tap(frame)) ?: page.atThumb?.let { frame.submit(it.form) },
        undo =
            frame.state.bringing?.let { Undo(it, frame.words.giveUp) { frame.state.giveUp() } }
                ?: frame.state.bar?.undo(frame),
        confirm = frame.confirm,
        scrollKey = page.step,
        head = page.head,
        pad = PadWords(frame.words.padDecimal, frame.words.padDelete, frame.words.padClose),
        padWanted = first?.id,
        numbers = page.numbers,
        pinned = pinned?.let { { key(it.id) { FormField(frame, it.of.form, it.field, it.of.of.ifEmpty { null }) } } },
    ) {
        frame.state.problem?.let { part { FactRow(it, mark = Mark.Struck, weight = Weight.Blocks) } }
        page.answer?.let { headed(page.head) { AnswerPart(it, page.head) } }
        for (block in page.blocks) block(frame, block, pinned?.field.takeIf { block === pinned?.of })
    }
}

/** What is proved stands in a head full of ink, what blocks under a hatched band. */
val CorePageRecord.head: Head
    get() =
        when (answer?.severity) {
            Severity.GOOD -> Head.Solid
            Severity.BLOCKING if answer?.mark == CoreMark.STRUCK -> Head.Blocked
            else -> Head.Plain
        }

/** The fields whose action stands at the thumb. */
private val CorePageRecord.atThumb: Block.Fields?
    get() = blocks.firstNotNullOfOrNull { block -> (block as? Block.Fields)?.takeIf { it.atThumb } }

/** An empty number that the form at the thumb asks for first. */
private val CorePageRecord.firstNumber: Pinned?
    get() {
        val fields = atThumb
        val first = fields?.form?.fields?.firstOrNull() ?: return null
        return if (first.kind == FieldKind.NUMBER && first.value.isEmpty()) Pinned(fields, first) else null
    }

/** The fields of a page that are numbers. */
private val CorePageRecord.numbers: Set<String>
    get() {
        val forms = blocks.filterIsInstance<Block.Fields>().map { it.form }
        val of = { form: Form -> form.fields.filter { it.kind == FieldKind.NUMBER }.map(form::idOf) }
        // One that no field has stands for none at all.
        return forms.flatMap(of).toSet() + ""
    }

/** A field that stays in sight above its pad, of which form. */
private class Pinned(val of: Block.Fields, val field: Field) {
    val id
        get() = of.form.idOf(field)
}

/** So many dp high a window is at least in which a field and its pad leave room for the answer and the chart. */
private const val ROOMY = 800

/** Whether there is room to pin the first number: a small window, or large type, scrolls it with the rest. */
@Composable
private fun roomForThePad(): Boolean {
    val density = LocalDensity.current
    val height = with(density) { LocalWindowInfo.current.containerSize.height.toDp() }
    return height.value >= ROOMY && density.fontScale <= Measures.sideBySide
}

private fun Bar.undo(frame: Frame): Undo {
    val token = undo
    return if (token == null) Undo(says ?: "", null) {}
    else Undo(says ?: token.label, frame.words.undo) { frame.state.undo() }
}

@Composable
private fun AnswerPart(answer: CoreAnswer, head: Head) {
    val color = if (head == Head.Solid) Look.palette.onSolid else answer.severity.weight.color()
    MarkedAnswer(answer.text, answer.mark?.shape, color = color)
    if (answer.beneath.isNotEmpty())
        BodyText(answer.beneath, color = if (head == Head.Solid) color else Look.palette.ink)
}

private fun LazyListScope.block(frame: Frame, block: Block, pinned: Field?) =
    when (block) {
        is Block.Title -> part { SectionTitle(block.text) }
        is Block.Lines -> lines(block.lines)
        is Block.Text -> part { if (block.strong) StrongText(block.text) else BodyText(block.text) }
        is Block.Caution -> part { Caution(block.text) }
        is Block.Rows -> {
            title(block.title)
            for (row in block.rows) part(close = true) {
                if (block.large) LargeRow(frame, row) else frame.ItemRow(row.item(frame))
            }
        }
        is Block.Ticks -> {
            title(block.title)
            for (tick in block.ticks) part(close = true) {
                TickRow(tick.title, tick.done, { frame.send(tick.action) }, detail = tick.detail.ifEmpty { null })
            }
        }
        is Block.Fields -> form(frame, block.form, inline = !block.atThumb, of = block.of.ifEmpty { null }, pinned)
        is Block.Figures -> quantities(block.title.ifEmpty { null }, block.figures)
        is Block.Buttons -> {
            title(block.title)
            val of = block.addsTo.ifEmpty { null }
            for (button in block.buttons) part(close = true) {
                frame.TapRow(button.tap(frame), if (of == null) Icon.Onward else Icon.Add, of)
            }
        }
        is Block.Chart,
        is Block.Screws,
        is Block.Map,
        is Block.Views -> drawing(frame, block)
        is Block.Photos -> photos(frame, block.tiles, block.subject)
        is Block.LargePhoto -> part { LargePhotoPart(frame, block) }
        is Block.Footnote -> {
            title(block.title)
            part { Footnote(block.text) }
        }
        is Block.Lights -> lights(frame)
    }

/** What is looked at sooner than it is read. */
private fun LazyListScope.drawing(frame: Frame, block: Block) {
    when (block) {
        is Block.Chart -> part { HoldChart(block.chart.content()) }
        is Block.Screws -> part { CrossingOrder(block.drawing) }
        is Block.Map -> {
            part { frame.RigMap(block.map) }
            lines(block.map.legend)
        }
        is Block.Views -> {
            for (drawing in block.drawings) {
                part { SectionTitle(drawing.title) }
                part { ViewDrawing(drawing.view(frame)) }
            }
            if (block.legend.isNotEmpty()) part { StrokeLegend(block.legend.map { it.kind.stroke to it.text }) }
        }
        else -> {}
    }
}

private fun LazyListScope.title(text: String) {
    if (text.isNotEmpty()) part { SectionTitle(text) }
}

/** What one came to read stands largest. */
@Composable
private fun LargeRow(frame: Frame, row: CoreRow) {
    val item = row.item(frame)
    val tap = item.tap
    if (tap == null) frame.ItemRow(item)
    else
        AnswerRow(
            item.title,
            item.detail,
            item.mark?.shape,
            tap.act,
            weight = item.severity.weight,
            footnote = item.footnote,
        )
}

@Composable
private fun LargePhotoPart(frame: Frame, block: Block.LargePhoto) {
    val picture by
        produceState<ImageBitmap?>(null, block.photo, block.broken) {
            value = if (block.broken) null else frame.state.largePicture(block.photo)
        }
    LargePhoto(picture, block.broken, block.spoken, marks = block.marks.map { it.drawn() }, pen = frame.pen(block))
}

/** The phone's own choice of light; nothing the crew shares. */
private fun LazyListScope.lights(frame: Frame) {
    val words = frame.words
    part { SectionTitle(words.lightTitle) }
    for ((light, label) in
        listOf(Light.Day to words.lightDay, Light.Sun to words.lightSun, Light.Night to words.lightNight)) part(
        close = true
    ) {
        ChoiceRow(label, frame.state.light == light, { frame.state.light = light })
    }
}

/** A hold is watched with hands that can't touch the phone: it stays lit, calls, and tells by a shake. */
@Composable
private fun Watched(frame: Frame, watch: Watch) {
    val platform = frame.state.platform
    val seconds = watch.nextS
    if (watch.running && seconds != null && seconds > 0) {
        // One alarm for each number of readings: a refresh of the page doesn't ring again.
        LaunchedEffect(watch.hold, watch.readings) {
            delay(seconds.seconds)
            platform.alarm.ring()
            frame.state.again()
        }
    }
    // When the readings come to something, or to something else, while this stands; not when it comes up so.
    var told by rememberSaveable(watch.hold) { mutableStateOf(watch.reached?.name) }
    LaunchedEffect(watch.hold, watch.reached) {
        val reached = watch.reached
        if (reached != null && reached.name != told) platform.alarm.verdict(reached)
        told = reached?.name
    }
    if (watch.running)
        DisposableEffect(frame.state) {
            platform.awake.keep(true)
            onDispose { platform.awake.keep(false) }
        }
}
