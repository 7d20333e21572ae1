package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.RigAction
import org.slackwater.core.RigScreen
import org.slackwater.ui.core.form
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.part

/** One rig: may it go in now, and if not, what next? */
@Composable
fun RigPage(frame: Frame, screen: RigScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Rig(RigAction.Submit(key, values)) } }
    val shown = frame.place.form
    if (form != null && shown != null) {
        FormPage(frame, screen.name, screen.answer, form)
        return
    }
    if (shown != null && screen.controls.isNotEmpty()) {
        FramedPage(frame, frame.words.controls, screen.name, null, null) {
            rows(frame, null, screen.controls.map { it.item(frame) })
        }
        return
    }
    FramedPage(frame, screen.name, null, form, frame.main(screen.main?.tap(frame))) {
        part {
            MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight)
            if (screen.reason.isNotEmpty()) BodyText(screen.reason)
        }
        // The answer has counted them already: they follow it without a title between.
        rows(frame, null, screen.obstacles.map { it.item(frame) })
        lines(screen.notices)
        rows(frame, frame.words.enclosures, screen.enclosures.map { it.item(frame) })
        rows(frame, frame.words.defects, screen.defects.map { it.item(frame) })
        rows(frame, frame.words.controls, screen.controls.map { it.item(frame) })
        rows(frame, frame.words.procedures, screen.procedures.map { it.item(frame) })
        if (form != null) form(frame, form, inline = screen.main != null)
        quantities(frame.words.plan, screen.plan)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        photos(frame, screen.photos, screen.photoSubject)
        if (screen.caveat.isNotEmpty()) part { Footnote(screen.caveat) }
    }
}
