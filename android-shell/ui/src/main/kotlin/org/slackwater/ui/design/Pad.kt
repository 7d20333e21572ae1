package org.slackwater.ui.design

import androidx.compose.foundation.BorderStroke
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.RowScope
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.heightIn
import androidx.compose.material3.Surface
import androidx.compose.runtime.Composable
import androidx.compose.runtime.Stable
import androidx.compose.runtime.compositionLocalOf
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.saveable.Saver
import androidx.compose.runtime.setValue
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.focus.focusProperties
import androidx.compose.ui.semantics.Role
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.role
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.TextRange
import androidx.compose.ui.text.input.TextFieldValue
import androidx.compose.ui.unit.dp

/** What the pad types into. */
internal interface Typing {
    /** Puts [text] where the caret stands, in place of what is chosen. */
    fun insert(text: String)

    /** Takes away what is chosen, or else the sign before the caret. */
    fun delete()
}

/** Which field of a page the pad types into; kept, so that it is there again when the phone is turned. */
@Stable
class PadState internal constructor(wanted: String?) {
    /** The field that has the pad, or had it before the page was made anew. */
    internal var wanted by mutableStateOf(wanted)
    internal var typing by mutableStateOf<Typing?>(null)

    companion object {
        internal val Saver = Saver<PadState, String>({ it.wanted.orEmpty() }, { PadState(it.ifEmpty { null }) })
    }
}

internal val LocalPad = compositionLocalOf { PadState(null) }

internal fun TextFieldValue.inserted(more: String): TextFieldValue {
    val at = selection.min + more.length
    return TextFieldValue(text.replaceRange(selection.min, selection.max, more), TextRange(at))
}

internal fun TextFieldValue.deleted(): TextFieldValue {
    val from = if (selection.collapsed) (selection.min - 1).coerceAtLeast(0) else selection.min
    return TextFieldValue(text.removeRange(from, selection.max), TextRange(from))
}

/**
 * A pad for numbers, larger than a phone's own keyboard and always in the same place. The core understands a point and
 * a comma alike; the key has the sign that numbers have on the page.
 *
 * @param putAway what the last key does.
 */
@Composable
internal fun NumberPad(typing: Typing?, words: PadWords, putAway: () -> Unit) {
    Column(Modifier.fillMaxWidth(), verticalArrangement = Arrangement.spacedBy(GAP)) {
        for (row in listOf("123", "456", "789")) PadRow { for (key in row) Key("$key") { typing?.insert("$key") } }
        PadRow {
            Row(Modifier.weight(1f), horizontalArrangement = Arrangement.spacedBy(GAP)) {
                Key("−") { typing?.insert("-") }
                Key(words.decimal) { typing?.insert(words.decimal) }
            }
            Key("0") { typing?.insert("0") }
            Row(Modifier.weight(1f), horizontalArrangement = Arrangement.spacedBy(GAP)) {
                Key(words.delete, Icon.Delete) { typing?.delete() }
                Key(words.close, Icon.Close, putAway)
            }
        }
    }
}

private val GAP = 6.dp

@Composable
private fun PadRow(content: @Composable RowScope.() -> Unit) =
    Row(Modifier.fillMaxWidth(), horizontalArrangement = Arrangement.spacedBy(GAP), content = content)

@Composable
private fun RowScope.Key(says: String, icon: Icon? = null, act: () -> Unit) =
    Surface(
        act,
        // The field keeps the focus, or the pad would go with the first key.
        Modifier.weight(1f)
            .focusProperties { canFocus = false }
            .semantics {
                role = Role.Button
                if (icon != null) contentDescription = says
            },
        shape = fieldCorners,
        color = Look.palette.raised,
        border = BorderStroke(Look.palette.thin, Look.palette.line),
    ) {
        Box(Modifier.heightIn(min = Measures.target), Alignment.Center) {
            if (icon == null) Words(says, Look.type.pad, color = Look.palette.accent) else Sign(icon, size = 28.dp)
        }
    }
