package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.SealScreen
import org.slackwater.core.SealsAction
import org.slackwater.core.SealsButton
import org.slackwater.core.SealsRow
import org.slackwater.core.SealsScreen
import org.slackwater.ui.core.form
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.TickRow
import org.slackwater.ui.design.part

/** The seals of a rig: which ring next, and why? */
@Composable
fun SealsPage(frame: Frame, screen: SealsScreen) {
    FramedPage(frame, frame.words.sealsTitle, screen.rigName, null, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        screen.empty?.let { lines(listOf(it)) }
        rows(frame, null, screen.seals.map { it.item(frame) })
    }
}

/** One seal: its state, its service, its history. */
@Composable
fun SealPage(frame: Frame, screen: SealScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Seals(SealsAction.Submit(key, values)) } }
    if (form != null && frame.place.form != null) {
        FormPage(frame, screen.name, screen.answer, form)
        return
    }
    FramedPage(frame, screen.name, null, form, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        if (screen.parts.isNotEmpty()) part { SectionTitle(frame.words.service) }
        for (row in screen.parts) part { ServicePart(frame, row) }
        if (form != null) form(frame, form, inline = screen.main != null)
        quantities(frame.words.figures, screen.figures)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        rows(frame, frame.words.history, screen.history.map { it.item(frame) })
        photos(frame, screen.photos, screen.photoSubject)
    }
}

@Composable
private fun ServicePart(frame: Frame, row: SealsRow) {
    val action = row.tap?.action
    if (action is SealsAction.Tick && row.tap?.enabled == true && row.tap?.confirm == null) {
        TickRow(row.title, !action.on, { frame.send(Action.Seals(action)) }, detail = row.detail.ifEmpty { null })
    } else {
        frame.ItemRow(row.item(frame))
    }
}

private fun SealsButton.tap(frame: Frame) = Tap(label, enabled, whyNot, confirm) { frame.send(Action.Seals(action)) }
private fun SealsRow.item(frame: Frame) = Item(title, detail, footnote, mark, severity, tap?.tap(frame), other?.tap(frame))
