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
    val palette = Look.palette
    val type = Look.type
    val pad = LocalPad.current
    var focused by remember { mutableStateOf(false) }
    var kept by remember { mutableStateOf(TextFieldValue(value, TextRange(value.length))) }
    // What was typed elsewhere, or taken away with the page, stands in it too.
    if (kept.text != value) kept = TextFieldValue(value, TextRange(value.length))
    // The tap that gave it the focus would put the caret somewhere: the first key is to replace all of it.
    var fresh by remember { mutableStateOf(false) }
    // A name is one line, however many it takes on the screen.
    fun change(new: TextFieldValue) {
        val said = if (entry == Entry.Line) new.copy(text = new.text.replace('\n', ' ')) else new
        if (fresh && said.text == kept.text) {
            fresh = false
            return
        }
        fresh = false
        kept = said
        if (said.text != value) onChange(said.text)
    }
    val typing = remember { Hands() }
    typing.now = { kept }
    typing.change = ::change
    val focus = remember { FocusRequester() }
    val view = remember { BringIntoViewRequester() }
    // Made anew with the page it has the pad again, where it stands: asking for the focus would scroll it.
    val again = remember { entry == Entry.Number && pad.wanted == id }
    LaunchedEffect(pad.wanted) {
        if (entry != Entry.Number || pad.wanted != id || pad.typing === typing) return@LaunchedEffect
        if (again) pad.typing = typing else focus.requestFocus()
    }
    // Once the pad has taken its room.
    LaunchedEffect(focused, pad.wanted != null) { if (focused) view.bringIntoView() }
    DisposableEffect(Unit) { onDispose { if (pad.typing === typing) pad.typing = null } }
    val edge =
        when {
            error != null -> palette.block
            focused || pad.typing === typing -> palette.ink
            else -> palette.line
        }
    Column(modifier.fillMaxWidth(), verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
        Words(label, type.strong)
        if (hint != null) Words(hint, type.text, color = palette.soft)
        Surface(color = palette.raised, shape = fieldCorners, modifier = Modifier.fillMaxWidth()) {
            OwnPad(entry == Entry.Number) {
            BasicTextField(
                kept,
                ::change,
                Modifier.fillMaxWidth()
                    .focusRequester(focus)
                    .bringIntoViewRequester(view)
                    .onFocusChanged {
                        if (it.isFocused != focused) {
                            focused = it.isFocused
                            if (focused && entry == Entry.Number) {
                                // The first key replaces what stands there.
                                kept = kept.copy(selection = TextRange(0, kept.text.length))
                                fresh = kept.text.isNotEmpty()
                                pad.typing = typing
                                pad.wanted = id
                            } else if (focused) {
                                // The phone's own keyboard comes up.
                                pad.typing = null
                                pad.wanted = null
                            }
                        }
                    }
                    .semantics {
                        contentDescription =
                            (if (of == null) "" else "$of: ") + listOfNotNull(label, unit, hint).joinToString(", ")
                        if (error != null) error(error)
                    },
                textStyle = (if (entry == Entry.Number) type.typed else type.text).copy(color = palette.ink),
                singleLine = entry == Entry.Number,
                minLines = if (entry == Entry.Note) 3 else 1,
                maxLines = if (entry == Entry.Number) 1 else 12,
                cursorBrush = SolidColor(palette.accent),
                keyboardOptions =
                    KeyboardOptions(
                        keyboardType = if (entry == Entry.Number) KeyboardType.Decimal else KeyboardType.Text,
                        capitalization =
                            if (entry == Entry.Number) KeyboardCapitalization.None
                            else KeyboardCapitalization.Sentences,
                        imeAction = if (entry == Entry.Note) ImeAction.Default else ImeAction.Done,
                    ),
                keyboardActions =
                    KeyboardActions(onDone = { onDone?.invoke() ?: defaultKeyboardAction(ImeAction.Done) }),
                decorationBox = { inner ->
                    Row(
                        Modifier.heightIn(min = Measures.target + 8.dp)
                            .border(
                                if (error != null) palette.strongStroke else palette.stroke,
                                edge,
                                fieldCorners,
                            )
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
        }
        if (error != null) FieldError(error)
    }
}

/** What the pad does to a field, as it stands now. */
private class Hands : Typing {
    var now: () -> TextFieldValue = { TextFieldValue() }
    var change: (TextFieldValue) -> Unit = {}

    override fun insert(text: String) = change(now().inserted(text))

    override fun delete() = change(now().deleted())
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
