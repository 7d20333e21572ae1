package org.slackwater.ui.design

import androidx.compose.foundation.Canvas
import androidx.compose.foundation.background
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.ColumnScope
import androidx.compose.foundation.layout.ExperimentalLayoutApi
import androidx.compose.foundation.layout.FlowRow
import androidx.compose.foundation.layout.PaddingValues
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.WindowInsets
import androidx.compose.foundation.layout.WindowInsetsSides
import androidx.compose.foundation.layout.fillMaxSize
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.height
import androidx.compose.foundation.layout.heightIn
import androidx.compose.foundation.layout.only
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.layout.safeDrawing
import androidx.compose.foundation.layout.sizeIn
import androidx.compose.foundation.layout.widthIn
import androidx.compose.foundation.layout.windowInsetsPadding
import androidx.compose.foundation.lazy.LazyColumn
import androidx.compose.foundation.lazy.LazyListScope
import androidx.compose.foundation.lazy.rememberLazyListState
import androidx.compose.material3.Surface
import androidx.compose.runtime.Composable
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.getValue
import androidx.compose.runtime.key
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.remember
import androidx.compose.runtime.saveable.rememberSaveable
import androidx.compose.runtime.setValue
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.drawBehind
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.drawscope.clipRect
import androidx.compose.ui.layout.LayoutCoordinates
import androidx.compose.ui.layout.boundsInRoot
import androidx.compose.ui.layout.findRootCoordinates
import androidx.compose.ui.layout.onGloballyPositioned
import androidx.compose.ui.platform.LocalFocusManager
import androidx.compose.ui.semantics.LiveRegionMode
import androidx.compose.ui.semantics.Role
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.heading
import androidx.compose.ui.semantics.liveRegion
import androidx.compose.ui.semantics.role
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.unit.dp

/** The way back: what the target says aloud ("Back to rigs"), and what it does. */
class Back(val says: String, val go: () -> Unit)

/** How the head of a page looks. */
enum class Head {
    /** Paper. */
    Plain,

    /** Full of ink: what is proved, and nothing else. */
    Solid,

    /** Under a hatched band: something stands in the way for good. */
    Blocked,
}

/** What stands in a solid head is in its colour. */
@Composable internal fun Head.color(): Color? = if (this == Head.Solid) Look.palette.onSolid else null

/** The strip at the top: where this is ("Closing, 4 of 9") and what it belongs to. */
@OptIn(ExperimentalLayoutApi::class)
@Composable
fun TopPlace(place: String, detail: String? = null, head: Head = Head.Plain) {
    FlowRow(
        Modifier.fillMaxWidth().padding(horizontal = Measures.edge, vertical = 8.dp),
        horizontalArrangement = Arrangement.spacedBy(10.dp),
    ) {
        val color = head.color()
        Words(
            place,
            Look.type.strong,
            Modifier.alignByBaseline().semantics { heading() },
            color ?: Look.palette.ink,
            maxLines = 3,
        )
        if (detail != null)
            Words(detail, Look.type.footnote, Modifier.alignByBaseline(), color ?: Look.palette.soft, maxLines = 2)
    }
}

/** What was just done, and how it is taken back, if it can be: stays until the next action, however long that is. */
class Undo(val says: String, val action: String?, val take: () -> Unit)

/** Says what was just done and takes it back. */
@Composable
fun UndoBar(undo: Undo) {
    val palette = Look.palette
    Surface(Modifier.fillMaxWidth(), corners, palette.tone) {
        Row(
            Modifier.heightIn(min = Measures.target).padding(start = 14.dp, end = 6.dp, top = 6.dp, bottom = 6.dp),
            horizontalArrangement = Arrangement.spacedBy(10.dp),
            verticalAlignment = Alignment.CenterVertically,
        ) {
            // Three lines at most: the bar must leave room for the action beneath it at any font scale.
            Words(
                undo.says,
                Look.type.text,
                Modifier.weight(1f).semantics { liveRegion = LiveRegionMode.Polite },
                maxLines = 3,
            )
            if (undo.action != null) SmallAction(undo.action, undo.take, icon = Icon.Undo)
        }
    }
}

/** What can't be undone: the sentence that says what it will do, the word that does it, the word that doesn't. */
class Question(val says: String, val detail: String? = null, val yes: String, val no: String, val onYes: () -> Unit)

/**
 * Holds the question that waits for its second tap. The answer "yes" stands in the other half of the screen than the
 * tap that asked, and "no" under that tap: a drop that taps twice changes nothing.
 */
class Confirm {
    internal var question by mutableStateOf<Question?>(null)
    internal var yesAtTop by mutableStateOf(false)

    /** Asks, for a tap that came from [trigger]. */
    fun ask(question: Question, trigger: Trigger) {
        yesAtTop = trigger.inLowerHalf()
        this.question = question
    }

    /** Asks, for the main action at the bottom. */
    fun askFromMain(question: Question) {
        yesAtTop = true
        this.question = question
    }

    /** Lets the question go. */
    fun drop() {
        question = null
    }
}

/** Knows where on the screen an action stands. */
class Trigger internal constructor() {
    internal var where: LayoutCoordinates? = null

    internal fun inLowerHalf(): Boolean {
        val at = where?.takeIf { it.isAttached } ?: return true
        return at.boundsInRoot().center.y > at.findRootCoordinates().size.height / 2f
    }
}

@Composable fun rememberConfirm(): Confirm = remember { Confirm() }

@Composable fun rememberTrigger(): Trigger = remember { Trigger() }

/** Tells [trigger] where this stands. */
fun Modifier.tells(trigger: Trigger): Modifier = onGloballyPositioned { trigger.where = it }

/** The main action of a page. */
class Main(val text: String, val unavailable: String? = null, val blocks: Boolean = false, val act: () -> Unit)

/**
 * The frame of every screen: where I am on top, what I do at the thumb with the way back beside it, between them what
 * scrolls.
 *
 * @param pinned what stays above the key while the rest scrolls: the field that is typed into now.
 * @param numbers the fields that the pad can type into.
 * @param padWanted the field that the pad is to type into, without a tap.
 * @param scrollKey the list starts at its top again when this changes (another step, another rig).
 */
@Composable
fun Page(
    place: String,
    detail: String? = null,
    back: Back? = null,
    main: Main? = null,
    second: Main? = null,
    undo: Undo? = null,
    confirm: Confirm? = null,
    scrollKey: Any? = Unit,
    head: Head = Head.Plain,
    pad: PadWords = PadWords(".", "Delete", "Close"),
    padWanted: String? = null,
    numbers: Set<String> = emptySet(),
    pinned: (@Composable () -> Unit)? = null,
    body: LazyListScope.() -> Unit,
) {
    val padState = rememberSaveable(saver = PadState.Saver) { PadState(null) }
    var ledTo by rememberSaveable { mutableStateOf<String?>(null) }
    LaunchedEffect(padWanted) {
        // Led to each field once: a pad that was put away stays away.
        if (padWanted != null && padWanted != ledTo) padState.wanted = padWanted
        ledTo = padWanted
    }
    // Of a field that is gone nothing is left to type into.
    LaunchedEffect(numbers) { if (numbers.isNotEmpty() && padState.wanted !in numbers) padState.wanted = null }
    val question = confirm?.question
    val shown = if (question == null) head else Head.Plain
    val palette = Look.palette
    val sides = WindowInsets.safeDrawing.only(WindowInsetsSides.Horizontal + WindowInsetsSides.Bottom)
    CompositionLocalProvider(LocalPad provides padState) {
        Column(Modifier.fillMaxSize().background(palette.paper)) {
            Column(
                Modifier.fillMaxWidth()
                    .background(if (shown == Head.Solid) palette.solid else palette.paper)
                    .windowInsetsPadding(
                        WindowInsets.safeDrawing.only(WindowInsetsSides.Horizontal + WindowInsetsSides.Top)
                    )
            ) {
                TopPlace(place, detail, shown)
                if (shown == Head.Blocked)
                    Canvas(Modifier.fillMaxWidth().height(16.dp)) {
                        clipRect { hatch(palette.block, 12.dp.toPx(), 4.dp.toPx()) }
                    }
            }
            Column(Modifier.weight(1f).fillMaxWidth().windowInsetsPadding(sides)) {
                if (question != null) {
                    QuestionBody(question, confirm)
                } else {
                    val list = key(scrollKey) { rememberLazyListState() }
                    LazyColumn(
                        Modifier.weight(1f).fillMaxWidth(),
                        list,
                        contentPadding = PaddingValues(bottom = Measures.sectionGap),
                        horizontalAlignment = Alignment.CenterHorizontally,
                        content = body,
                    )
                    // It keeps its room while its field is out of sight, or made anew with the page.
                    val typed = padState.wanted != null
                    val stands = listOfNotNull(undo, main, second, back, pinned).isNotEmpty()
                    if (stands || typed)
                        ThumbBar(back, main, second, undo) {
                            pinned?.invoke()
                            val focus = LocalFocusManager.current
                            if (typed)
                                NumberPad(padState.typing, pad) {
                                    padState.typing = null
                                    padState.wanted = null
                                    focus.clearFocus()
                                }
                        }
                }
            }
        }
    }
}

/** The sign on the pad's key before the parts of one; what the keys are called aloud that bear a drawing. */
class PadWords(val decimal: String, val delete: String, val close: String)

/** The way back beside the key, so that no corner is ever needed; what was done and can be undone above. */
@Composable
private fun ColumnScope.ThumbBar(
    back: Back?,
    main: Main?,
    second: Main?,
    undo: Undo?,
    pad: @Composable () -> Unit,
) {
    val palette = Look.palette
    Dock(
        Modifier.drawBehind {
            val width = palette.thin.toPx()
            drawLine(palette.rule, Offset.Zero, Offset(size.width, 0f), width)
        }
    ) {
        if (undo != null) UndoBar(undo)
        if (second != null)
            ActionRow(second.text, second.act, unavailable = second.unavailable, blocks = second.blocks, icon = null)
        pad()
        Row(verticalAlignment = Alignment.CenterVertically) {
            if (back != null) {
                Surface(
                    back.go,
                    Modifier.semantics {
                        role = Role.Button
                        contentDescription = back.says
                    },
                    color = palette.paper,
                    shape = corners,
                ) {
                    Box(Modifier.sizeIn(minWidth = 60.dp, minHeight = Measures.mainTarget), Alignment.Center) {
                        Sign(Icon.Back, size = 30.dp)
                    }
                }
            }
            if (main != null)
                MainAction(
                    main.text,
                    main.act,
                    Modifier.weight(1f),
                    unavailable = main.unavailable,
                    blocks = main.blocks,
                )
        }
    }
}

@Composable
private fun ColumnScope.QuestionBody(question: Question, confirm: Confirm) {
    val yes: @Composable () -> Unit = {
        MainAction(
            question.yes,
            {
                confirm.drop()
                question.onYes()
            },
            blocks = true,
        )
    }
    val no: @Composable () -> Unit = { MainAction(question.no, { confirm.drop() }) }
    Dock { if (confirm.yesAtTop) yes() else no() }
    LazyColumn(
        Modifier.weight(1f).fillMaxWidth(),
        contentPadding = PaddingValues(Measures.edge, Measures.gap),
        verticalArrangement = Arrangement.spacedBy(Measures.gap, Alignment.CenterVertically),
    ) {
        item { Answer(question.says) }
        if (question.detail != null) item { BodyText(question.detail) }
    }
    Dock { if (confirm.yesAtTop) no() else yes() }
}

@Composable
private fun ColumnScope.Dock(modifier: Modifier = Modifier, content: @Composable ColumnScope.() -> Unit) =
    Column(
        modifier
            .align(Alignment.CenterHorizontally)
            .widthIn(max = Measures.column + 32.dp)
            .fillMaxWidth()
            .padding(horizontal = Measures.gap, vertical = 8.dp),
        verticalArrangement = Arrangement.spacedBy(8.dp),
        content = content,
    )

/**
 * One entry of a page's body, no wider than a readable column. Android keeps its [key] in a bundle, so it is a text.
 *
 * @param close it follows what is above without a gap: a row of a list.
 */
fun LazyListScope.part(key: String? = null, close: Boolean = false, content: @Composable ColumnScope.() -> Unit) =
    item(key) {
        Column(
            Modifier.padding(
                    start = Measures.edge,
                    end = Measures.edge,
                    top = if (close) 0.dp else Measures.gap,
                )
                .widthIn(max = Measures.column)
                .fillMaxWidth(),
            verticalArrangement = Arrangement.spacedBy(Measures.smallGap),
            content = content,
        )
    }

/** The answer in the head of a page: full of ink from edge to edge where [head] is solid. */
fun LazyListScope.headed(head: Head, content: @Composable ColumnScope.() -> Unit) = item {
    Column(
        Modifier.fillMaxWidth()
            .background(if (head == Head.Solid) Look.palette.solid else Look.palette.paper)
            .padding(horizontal = Measures.edge, vertical = Measures.gap),
        verticalArrangement = Arrangement.spacedBy(8.dp),
        content = content,
    )
}
