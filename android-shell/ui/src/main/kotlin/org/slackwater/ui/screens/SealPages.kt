package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.SealScreen
import org.slackwater.core.SealsAction
import org.slackwater.core.SealsScreen
import org.slackwater.core.ServiceAction
import org.slackwater.core.ServiceScreen
import org.slackwater.ui.core.form
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.part

/** The seals of a rig: which ring next, and why? */
@Composable
fun SealsPage(frame: Frame, screen: SealsScreen) {
    FramedPage(frame, frame.words.sealsTitle, screen.rigName, null, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        screen.empty?.let { lines(listOf(it)) }
        rows(frame, null, screen.seals.map { it.item(frame) })
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
    }
}

/** One seal: its state, how its ring sits, its history. */
@Composable
fun SealPage(frame: Frame, screen: SealScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Seals(SealsAction.Submit(key, values)) } }
    if (form != null && frame.place.form != null) {
        FormPage(frame, screen.name, screen.answer, form)
        return
    }
    if (screen.sizes.isNotEmpty()) {
        FramedPage(frame, screen.name, null, null, null) {
            rows(frame, null, screen.sizes.map { it.item(frame) })
        }
        return
    }
    FramedPage(frame, screen.name, null, form, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        lines(screen.notices)
        if (form != null) form(frame, form, inline = screen.main != null)
        quantities(frame.words.figures, screen.figures)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        rows(frame, frame.words.history, screen.history.map { it.item(frame) })
        photos(frame, screen.photos, screen.photoSubject)
    }
}

/** The service of a seal: one thing at a time, each with one large target. */
@Composable
fun ServicePage(frame: Frame, screen: ServiceScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Service(ServiceAction.Submit(key, values)) } }
    FramedPage(frame, screen.name, screen.place, form, frame.main(screen.main?.tap(frame))) {
        part {
            Answer(screen.instruction)
            BodyText(screen.text)
        }
        lines(screen.notices)
        rows(frame, null, screen.choices.map { it.item(frame) })
        if (form != null) form(frame, form, inline = false)
        taps(frame, null, screen.others.map { it.tap(frame) })
        photos(frame, screen.photos, screen.photoSubject)
    }
}
