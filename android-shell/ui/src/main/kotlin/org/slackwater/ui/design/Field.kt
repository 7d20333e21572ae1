package org.slackwater.ui.design

import androidx.compose.foundation.border
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.heightIn
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.relocation.BringIntoViewRequester
import androidx.compose.foundation.relocation.bringIntoViewRequester
import androidx.compose.foundation.text.BasicTextField
import androidx.compose.foundation.text.KeyboardActions
import androidx.compose.foundation.text.KeyboardOptions
import androidx.compose.material3.Surface
import androidx.compose.runtime.Composable
import androidx.compose.runtime.DisposableEffect
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.Stable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.remember
import androidx.compose.runtime.setValue
import androidx.compose.ui.Alignment
import androidx.compose.ui.ExperimentalComposeUiApi
import androidx.compose.ui.Modifier
import androidx.compose.ui.focus.FocusRequester
import androidx.compose.ui.focus.focusRequester
import androidx.compose.ui.focus.onFocusChanged
import androidx.compose.ui.graphics.SolidColor
import androidx.compose.ui.platform.InterceptPlatformTextInput
import androidx.compose.ui.semantics.LiveRegionMode
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.error
import androidx.compose.ui.semantics.liveRegion
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.TextRange
import androidx.compose.ui.text.input.ImeAction
import androidx.compose.ui.text.input.KeyboardCapitalization
import androidx.compose.ui.text.input.KeyboardType
import androidx.compose.ui.text.input.TextFieldValue
import androidx.compose.ui.unit.dp
import kotlinx.coroutines.awaitCancellation

/** What a field takes; picks the keyboard only. The core judges the value. */
enum class Entry {
    Number,
    Line,
    Note,
}

/**
 * A value to type. An error stands beneath it and what was typed stays.
 *
 * @param value what stands in it now.
 * @param unit beside the number, smaller.
 * @param hint what is expected, beneath the label ("expected −180 mbar").
 * @param of what it belongs to, said aloud where several fields on a screen have one label.
 * @param id by which the page remembers that the pad types into it.
 * @param error what is wrong and what to do; null when nothing is.
 */
@Composable
fun Field(
    label: String,
    value: String,
    onChange: (String) -> Unit,
    modifier: Modifier = Modifier,
    unit: String? = null,
    hint: String? = null,
    error: String? = null,
    entry: Entry = Entry.Line,
    of: String? = null,
    id: String = label,
    onDone: (() -> Unit)? = null,
) {
    val typing = remember { Hands(value) }
    typing.keep(value, entry, onChange)
    Padded(typing, entry, id)
    Column(modifier.fillMaxWidth(), verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
        Words(label, Look.type.strong)
        if (hint != null) Words(hint, Look.type.text, color = Look.palette.soft)
        Surface(color = Look.palette.raised, shape = fieldCorners, modifier = Modifier.fillMaxWidth()) {
            OwnPad(entry == Entry.Number) {
                val says = (if (of == null) "" else "$of: ") + listOfNotNull(label, unit, hint).joinToString(", ")
                TypedText(typing, entry, id, says, unit, error, onDone)
            }
        }
        if (error != null) FieldError(error)
    }
}

/** Gives a number the pad when it has the focus, or had it before the page was made anew. */
@Composable
private fun Padded(typing: Hands, entry: Entry, id: String) {
    val pad = LocalPad.current
    // Made anew with the page it has the pad again, where it stands: asking for the focus would scroll it.
    val again = remember { entry == Entry.Number && pad.wanted == id }
    LaunchedEffect(pad.wanted) {
        if (entry != Entry.Number || pad.wanted != id || pad.typing === typing) return@LaunchedEffect
        if (again) pad.typing = typing else typing.focus.requestFocus()
    }
    // Once the pad has taken its room.
    LaunchedEffect(typing.focused, pad.wanted != null) { if (typing.focused) typing.view.bringIntoView() }
    DisposableEffect(Unit) { onDispose { if (pad.typing === typing) pad.typing = null } }
}

/** What is typed, with its unit, in its frame. */
@Composable
private fun TypedText(
    typing: Hands,
    entry: Entry,
    id: String,
    says: String,
    unit: String?,
    error: String?,
    onDone: (() -> Unit)?,
) {
    val palette = Look.palette
    val type = Look.type
    val pad = LocalPad.current
    BasicTextField(
        typing.now,
        typing::change,
        Modifier.fillMaxWidth()
            .focusRequester(typing.focus)
            .bringIntoViewRequester(typing.view)
            .onFocusChanged { typing.focused(it.isFocused, entry, pad, id) }
            .semantics {
                contentDescription = says
                if (error != null) error(error)
            },
        textStyle = (if (entry == Entry.Number) type.typed else type.text).copy(color = palette.ink),
        singleLine = entry == Entry.Number,
        minLines = if (entry == Entry.Note) 3 else 1,
        maxLines = if (entry == Entry.Number) 1 else 12,
        cursorBrush = SolidColor(palette.accent),
        keyboardOptions = keyboard(entry),
        keyboardActions = KeyboardActions(onDone = { onDone?.invoke() ?: defaultKeyboardAction(ImeAction.Done) }),
        decorationBox = { inner ->
            val here = typing.focused || pad.typing === typing
            val edge = if (error != null) palette.block else if (here) palette.ink else palette.line
            Row(
                Modifier.heightIn(min = Measures.target + 8.dp)
                    .border(if (error != null) palette.strongStroke else palette.stroke, edge, fieldCorners)
                    .padding(horizontal = 14.dp, vertical = 10.dp),
                horizontalArrangement = Arrangement.spacedBy(8.dp),
                verticalAlignment = if (entry == Entry.Note) Alignment.Top else Alignment.CenterVertically,
            ) {
                Box(Modifier.weight(1f)) { inner() }
                if (unit != null) Words(unit, type.text, color = palette.soft)
            }
        },
    )
}

private fun keyboard(entry: Entry) =
    KeyboardOptions(
        keyboardType = if (entry == Entry.Number) KeyboardType.Decimal else KeyboardType.Text,
        capitalization = if (entry == Entry.Number) KeyboardCapitalization.None else KeyboardCapitalization.Sentences,
        imeAction = if (entry == Entry.Note) ImeAction.Default else ImeAction.Done,
    )

/** What stands in a field, and what is typed into it: by the phone's keyboard or by the pad. */
@Stable
private class Hands(value: String) : Typing {
    var now by mutableStateOf(TextFieldValue(value, TextRange(value.length)))
        private set

    var focused by mutableStateOf(false)
        private set

    val focus = FocusRequester()
    val view = BringIntoViewRequester()
    private var entry = Entry.Line
    private var tell: (String) -> Unit = {}

    /** The tap that gave it the focus would put the caret somewhere: the first key is to replace all of it. */
    private var fresh = false

    /** What was typed elsewhere, or taken away with the page, stands in it too. */
    fun keep(value: String, entry: Entry, tell: (String) -> Unit) {
        this.entry = entry
        this.tell = tell
        if (now.text != value) now = TextFieldValue(value, TextRange(value.length))
    }

    fun change(new: TextFieldValue) {
        // A name is one line, however many it takes on the screen.
        val said = if (entry == Entry.Line) new.copy(text = new.text.replace('\n', ' ')) else new
        val moved = said.text == now.text
        if (fresh && moved) {
            fresh = false
            return
        }
        fresh = false
        now = said
        if (!moved) tell(said.text)
    }

    fun focused(has: Boolean, entry: Entry, pad: PadState, id: String) {
        if (has == focused) return
        focused = has
        if (!has) return
        // A field of words brings the phone's own keyboard up.
        pad.typing = if (entry == Entry.Number) this else null
        pad.wanted = if (entry == Entry.Number) id else null
        if (entry == Entry.Number) {
            now = now.copy(selection = TextRange(0, now.text.length))
            fresh = now.text.isNotEmpty()
        }
    }

    override fun insert(text: String) = change(now.inserted(text))

    override fun delete() = change(now.deleted())
}

/** Numbers come from the page's own pad: the phone's keyboard stays away. */
@OptIn(ExperimentalComposeUiApi::class)
@Composable
private fun OwnPad(own: Boolean, content: @Composable () -> Unit) {
    if (own) InterceptPlatformTextInput({ _, _ -> awaitCancellation() }, content) else content()
}

/** What is wrong with the value above, and what to do. */
@Composable
fun FieldError(text: String) =
    Row(horizontalArrangement = Arrangement.spacedBy(10.dp), verticalAlignment = Alignment.CenterVertically) {
        StateMark(Mark.Struck, size = 24.dp)
        Words(
            text,
            Look.type.text,
            Modifier.weight(1f).semantics { liveRegion = LiveRegionMode.Polite },
            Look.palette.block,
        )
    }
