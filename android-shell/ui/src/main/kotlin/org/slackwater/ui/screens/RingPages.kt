package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.RingBoxAction
import org.slackwater.core.RingBoxScreen
import org.slackwater.core.SparesAction
import org.slackwater.core.SparesScreen
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.part

/** The crew's box of rings: what is there, and may it still be fitted? */
@Composable
fun RingBoxPage(frame: Frame, screen: RingBoxScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.RingBox(RingBoxAction.Submit(key, values)) } }
    if (form != null) {
        FormPage(frame, screen.title, screen.answer, form)
        return
    }
    FramedPage(frame, screen.title, null, null, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        screen.empty?.let { lines(listOf(it)) }
        rows(frame, null, screen.lots.map { it.item(frame) })
    }
}

/** Rings for a planned shoot: what falls due when, and what must be packed? */
@Composable
fun SparesPage(frame: Frame, screen: SparesScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Spares(SparesAction.Submit(key, values)) } }
    if (form != null) {
        FormPage(frame, screen.title, screen.rigName, form)
        return
    }
    FramedPage(frame, screen.title, screen.rigName, null, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        screen.empty?.let { lines(listOf(it)) }
        rows(frame, frame.words.toPack, screen.spares.map { it.item(frame) })
        rows(frame, frame.words.fallsDue, screen.due.map { it.item(frame) })
        lines(screen.notices)
        quantities(frame.words.plan, screen.plan)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
    }
}
