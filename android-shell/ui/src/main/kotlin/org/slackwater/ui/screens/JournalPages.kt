package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import androidx.compose.runtime.getValue
import androidx.compose.runtime.produceState
import androidx.compose.ui.graphics.ImageBitmap
import org.slackwater.core.EntryScreen
import org.slackwater.core.JournalScreen
import org.slackwater.core.PhotoScreen
import org.slackwater.core.Place
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.LargePhoto
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** The journal: what was done to this, and by whom? */
@Composable
fun JournalPage(frame: Frame, screen: JournalScreen) {
    val at = frame.place as? Place.Journal
    val older =
        screen.older?.let { before -> Main(frame.words.older) { frame.state.go(Place.Journal(at?.rig, before)) } }
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

/** One photo: what does it show? */
@Composable
fun PhotoPage(frame: Frame, screen: PhotoScreen) {
    val picture by
        produceState<ImageBitmap?>(null, screen.photo, screen.broken) {
            value = if (screen.broken) null else frame.state.largePicture(screen.photo)
        }
    FramedPage(frame, frame.words.photos, null, null, null) {
        part { Answer(screen.title) }
        part { LargePhoto(picture, screen.broken, screen.spoken) }
        rows(frame, null, screen.places.map { it.item(frame) })
        lines(screen.lines)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        part { SectionTitle(frame.words.record) }
        part { Footnote(screen.record) }
    }
}
