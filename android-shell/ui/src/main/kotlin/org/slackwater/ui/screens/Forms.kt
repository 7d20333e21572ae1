package org.slackwater.ui.screens

import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.lazy.LazyListScope
import androidx.compose.runtime.Composable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.saveable.rememberSaveable
import androidx.compose.runtime.setValue
import org.slackwater.core.Field
import org.slackwater.core.FieldKind
import org.slackwater.core.Form
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.ChoiceRow
import org.slackwater.ui.design.Entry
import org.slackwater.ui.design.Field as FieldPart
import org.slackwater.ui.design.FieldError
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.MainAction
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.SmallAction
import org.slackwater.ui.design.StrongText
import org.slackwater.ui.design.TickRow
import org.slackwater.ui.design.part

/** More choices than this are folded up once one is chosen. */
private const val FEW = 6

/** A field by a name that no other on its page has. */
internal fun Form.idOf(field: Field) = "$key/${field.key}"

/** The form's action as the main one. */
fun Frame.submit(form: Form): Main = Main(form.submit) { state.submit(form) }

/** The fields but the one that is [pinned] elsewhere; with [inline] also the action that sends them. */
fun LazyListScope.form(frame: Frame, form: Form, inline: Boolean, of: String?, pinned: Field? = null) {
    if (form.title.isNotEmpty()) part { SectionTitle(form.title) }
    frame.state.faultOf(form, "")?.let { fault -> part { FieldError(fault) } }
    for (field in form.fields) if (field !== pinned) part(key = form.idOf(field)) { FormField(frame, form, field, of) }
    if (inline) part { MainAction(form.submit, { frame.state.submit(form) }) }
}

@Composable
internal fun FormField(frame: Frame, form: Form, field: Field, of: String?) {
    val value = frame.state.value(form, field.key, field.value)
    val fault = frame.state.faultOf(form, field.key)
    fun type(new: String) = frame.state.type(form, field.key, new)
    when (field.kind) {
        FieldKind.CHOICE -> Choices(frame, field, value, fault, ::type)
        FieldKind.SWITCH -> {
            TickRow(field.label, value == "yes", { type(if (it) "yes" else "no") }, detail = field.hint)
            if (fault != null) FieldError(fault)
        }
        FieldKind.TEXT,
        FieldKind.LONG_TEXT,
        FieldKind.NUMBER ->
            FieldPart(
                field.label,
                value,
                ::type,
                unit = field.unit?.ifEmpty { null },
                hint = field.hint,
                error = fault,
                of = of,
                id = form.idOf(field),
                entry =
                    when (field.kind) {
                        FieldKind.NUMBER -> Entry.Number
                        FieldKind.LONG_TEXT -> Entry.Note
                        else -> Entry.Line
                    },
            )
    }
}

@Composable
private fun Choices(frame: Frame, field: Field, value: String, fault: String?, type: (String) -> Unit) {
    var unfolded by rememberSaveable(field.key) { mutableStateOf(false) }
    val chosen = field.choices.firstOrNull { it.key == value }
    val folded = field.choices.size > FEW && chosen != null && !unfolded
    StrongText(field.label)
    field.hint?.let { BodyText(it) }
    if (folded) {
        ChoiceRow(chosen.label, true, {})
        SmallAction(frame.words.chooseOther, { unfolded = true })
    } else {
        Column {
            for (choice in field.choices) ChoiceRow(
                choice.label,
                choice.key == value,
                {
                    type(choice.key)
                    unfolded = false
                },
            )
        }
    }
    if (fault != null) FieldError(fault)
}
