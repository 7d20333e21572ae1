package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.CrewAction
import org.slackwater.core.CrewScreen
import org.slackwater.ui.core.form
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** The crew: who holds the phone, and what the crew has agreed on. */
@Composable
fun CrewPage(frame: Frame, screen: CrewScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Crew(CrewAction.Submit(key, values)) } }
    if (form != null && frame.place.form != null) {
        if (screen.notices.isEmpty()) FormPage(frame, frame.words.crewTitle, screen.answer, form)
        else
            FramedPage(frame, form.form.title, frame.words.crewTitle, form, null) {
                lines(screen.notices)
                form(frame, form, inline = false, titled = false)
            }
        return
    }
    FramedPage(frame, frame.words.crewTitle, null, form, frame.main(screen.main?.tap(frame))) {
        part { Answer(screen.answer) }
        screen.empty?.let { lines(listOf(it)) }
        rows(frame, frame.words.members, screen.members.map { it.item(frame) })
        if (form != null) form(frame, form, inline = screen.main != null)
        rows(frame, frame.words.choices, screen.choices.map { it.item(frame) })
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        part { SectionTitle(frame.words.about) }
        lines(screen.about)
    }
}
