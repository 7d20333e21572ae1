package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.EntryScreen
import org.slackwater.core.JournalButton
import org.slackwater.core.JournalRow
import org.slackwater.core.JournalScreen
import org.slackwater.core.Place
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** The journal: what was done to this, and by whom? */
@Composable
fun JournalPage(frame: Frame, screen: JournalScreen) {
    val at = frame.place as? Place.Journal
    val older = screen.older?.let { before -> Main(frame.words.older) { frame.state.go(Place.Journal(at?.rig, before)) } }
    FramedPage(frame, screen.title, screen.count, null, older, scrollKey = at?.before ?: "") {
        screen.empty?.let { lines(listOf(it)) }
        rows(frame, null, screen.entries.map { it.item(frame) })
    }
}

/** One entry, with its photos and its proof. */
@Composable
fun EntryPage(frame: Frame, screen: EntryScreen) {
    FramedPage(frame, frame.words.history, null, null, null) {
        part { Answer(screen.title) }
        lines(screen.lines)
        lines(listOf(screen.seal))
        photos(frame, screen.photos, screen.photoSubject)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        part { SectionTitle(frame.words.record) }
        part { Footnote(screen.record) }
    }
}

private fun JournalButton.tap(frame: Frame) = Tap(label, enabled, whyNot, confirm) { frame.send(Action.Journal(action)) }
private fun JournalRow.item(frame: Frame) = Item(title, detail, footnote, mark, severity, tap?.tap(frame), other?.tap(frame))
