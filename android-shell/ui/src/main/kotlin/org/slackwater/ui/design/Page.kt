package org.slackwater.ui.design

import androidx.compose.foundation.background
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.ColumnScope
import androidx.compose.foundation.layout.PaddingValues
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.WindowInsets
import androidx.compose.foundation.layout.fillMaxSize
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.heightIn
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
import androidx.compose.runtime.getValue
import androidx.compose.runtime.key
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.remember
import androidx.compose.runtime.setValue
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.drawWithContent
import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.layout.LayoutCoordinates
import androidx.compose.ui.layout.boundsInRoot
import androidx.compose.ui.layout.findRootCoordinates
import androidx.compose.ui.layout.onGloballyPositioned
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

/** The strip at the top: the way back, and where this is ("Closing, 4 of 9"). */
@Composable
fun TopPlace(place: String, detail: String? = null, back: Back? = null) {
    val palette = Look.palette
    Row(
        Modifier.fillMaxWidth().heightIn(min = Measures.target + 8.dp).background(palette.paper).drawWithContent {
            drawContent()
            val y = size.height - palette.stroke.toPx() / 2
            drawLine(palette.line, Offset(0f, y), Offset(size.width, y), palette.stroke.toPx())
        },
        verticalAlignment = Alignment.CenterVertically,
    ) {
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
                Box(Modifier.sizeIn(minWidth = 64.dp, minHeight = 64.dp), Alignment.Center) {
                    Sign(Icon.Back, size = 30.dp)
                }
            }
        }
        Column(
            Modifier.weight(1f)
                .padding(
                    start = if (back == null) Measures.edge else 4.dp,
                    end = Measures.edge,
                    top = 6.dp,
                    bottom = 8.dp,
                )
        ) {
            Words(place, Look.type.strong, Modifier.semantics { heading() }, maxLines = 3)
            if (detail != null) Words(detail, Look.type.footnote, color = Look.palette.soft, maxLines = 2)
        }
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
 * The frame of every screen: where I am on top, what I do at the thumb, between them what scrolls.
 *
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
    body: LazyListScope.() -> Unit,
) {
    val question = confirm?.question
    Column(Modifier.fillMaxSize().background(Look.palette.paper).windowInsetsPadding(WindowInsets.safeDrawing)) {
        TopPlace(place, detail, if (question != null) Back(question.no) { confirm.drop() } else back)
        if (question != null) {
            QuestionBody(question, confirm)
        } else {
            val list = key(scrollKey) { rememberLazyListState() }
            LazyColumn(
                Modifier.weight(1f).fillMaxWidth(),
                list,
                contentPadding = PaddingValues(Measures.edge, Measures.gap, Measures.edge, Measures.sectionGap),
                verticalArrangement = Arrangement.spacedBy(Measures.gap),
                horizontalAlignment = Alignment.CenterHorizontally,
                content = body,
            )
            if (undo != null || main != null || second != null)
                Dock {
                    if (undo != null) UndoBar(undo)
                    if (second != null)
                        ActionRow(
                            second.text,
                            second.act,
                            unavailable = second.unavailable,
                            blocks = second.blocks,
                            icon = null,
                        )
                    if (main != null)
                        MainAction(main.text, main.act, unavailable = main.unavailable, blocks = main.blocks)
                }
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
private fun ColumnScope.Dock(content: @Composable ColumnScope.() -> Unit) =
    Column(
        Modifier.align(Alignment.CenterHorizontally)
            .widthIn(max = Measures.column + 32.dp)
            .fillMaxWidth()
            .padding(horizontal = Measures.gap, vertical = Measures.gap),
        verticalArrangement = Arrangement.spacedBy(Measures.gap),
        content = content,
    )

/**
 * One entry of a page's body, no wider than a readable column. Android keeps its [key] in a bundle, so it is a text.
 */
fun LazyListScope.part(key: String? = null, content: @Composable ColumnScope.() -> Unit) =
    item(key) {
        Column(
            Modifier.widthIn(max = Measures.column).fillMaxWidth(),
            verticalArrangement = Arrangement.spacedBy(Measures.smallGap),
            content = content,
        )
    }
