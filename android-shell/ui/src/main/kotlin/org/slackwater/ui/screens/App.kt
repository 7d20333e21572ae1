package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import androidx.compose.runtime.key
import androidx.compose.runtime.saveable.rememberSaveableStateHolder
import androidx.compose.ui.text.font.FontFamily
import org.slackwater.ui.core.AppState
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.Back
import org.slackwater.ui.design.Entry
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Field as FieldPart
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.Mark
import org.slackwater.ui.design.Page
import org.slackwater.ui.design.SlackwaterTheme
import org.slackwater.ui.design.Weight
import org.slackwater.ui.design.part
import org.slackwater.ui.design.rememberConfirm

/**
 * The whole app.
 *
 * @param letters the bundled font; each platform loads it in its own way.
 * @param calm true when the phone asks for less motion.
 */
@Composable
fun SlackwaterApp(state: AppState, letters: FontFamily, calm: Boolean = false) =
    SlackwaterTheme(state.light, letters, calm) {
        val holder = rememberSaveableStateHolder()
        val page = state.page
        when {
            state.pendingPhoto != null -> PhotoNotePage(state)
            page != null ->
                // Each page keeps its own scroll and folds.
                holder.SaveableStateProvider(page.at) {
                    key(page.at) { CorePage(Frame(state, rememberConfirm()), page) }
                }
            state.problem != null -> ProblemPage(Frame(state, rememberConfirm()))
            else -> Page("") {}
        }
    }

/**
 * What stands when the store can't be opened: [problem] in the core's words. Its other words are not to be had then.
 */
@Composable
fun FailedApp(problem: String, again: String, letters: FontFamily, tryAgain: () -> Unit) =
    SlackwaterTheme(Light.Day, letters) {
        Page("Slackwater", main = Main(again, act = tryAgain)) { part { Answer(problem, weight = Weight.Blocks) } }
    }

@Composable
private fun ProblemPage(frame: Frame) =
    Page("", back = frame.back, main = Main(frame.words.again) { frame.state.again() }) {
        frame.state.problem?.let { part { Answer(it) } }
    }

/** A photo was taken: it may have a note, then it is kept. */
@Composable
private fun PhotoNotePage(state: AppState) {
    Page(
        state.words.photos,
        back = Back(state.words.dropPhoto) { state.dropPhoto() },
        main = Main(state.words.keepPhoto) { state.keepPhoto() },
        second = Main(state.words.dropPhoto) { state.dropPhoto() },
    ) {
        state.problem?.let { part { FactRow(it, mark = Mark.Struck, weight = Weight.Blocks) } }
        part { FieldPart(state.words.photoNote, state.photoNote, { state.photoNote = it }, entry = Entry.Note) }
    }
}
