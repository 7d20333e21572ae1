package org.slackwater.ui.design

import androidx.compose.foundation.border
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.heightIn
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.text.BasicTextField
import androidx.compose.foundation.text.KeyboardActions
import androidx.compose.foundation.text.KeyboardOptions
import androidx.compose.material3.Surface
import androidx.compose.runtime.Composable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.remember
import androidx.compose.runtime.setValue
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.focus.onFocusChanged
import androidx.compose.ui.graphics.SolidColor
import androidx.compose.ui.semantics.LiveRegionMode
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.error
import androidx.compose.ui.semantics.liveRegion
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.input.ImeAction
import androidx.compose.ui.text.input.KeyboardCapitalization
import androidx.compose.ui.text.input.KeyboardType
import androidx.compose.ui.unit.dp

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
    onDone: (() -> Unit)? = null,
) {
    val palette = Look.palette
    val type = Look.type
    var focused by remember { mutableStateOf(false) }
    val edge =
        when {
            error != null -> palette.block
            focused -> palette.ink
            else -> palette.line
        }
    Column(modifier.fillMaxWidth(), verticalArrangement = Arrangement.spacedBy(Measures.smallGap)) {
        Words(label, type.strong)
        if (hint != null) Words(hint, type.text, color = palette.soft)
        Surface(color = palette.raised, shape = fieldCorners, modifier = Modifier.fillMaxWidth()) {
            BasicTextField(
                value,
                // A name is one line, however many it takes on the screen.
                { onChange(if (entry == Entry.Line) it.replace('\n', ' ') else it) },
                Modifier.fillMaxWidth()
                    .onFocusChanged { focused = it.isFocused }
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
        if (error != null) FieldError(error)
    }
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
