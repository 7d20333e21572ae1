package org.slackwater.ui.screens

import androidx.compose.foundation.lazy.LazyListScope
import androidx.compose.runtime.Composable
import androidx.compose.runtime.key
import androidx.compose.runtime.saveable.rememberSaveableStateHolder
import androidx.compose.ui.text.font.FontFamily
import org.slackwater.core.Screen
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Bar
import org.slackwater.ui.core.written
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
import org.slackwater.ui.design.Undo
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
        val at = state.shownAt
        val pending = state.pendingPhoto
        when {
            pending != null -> PhotoNotePage(state)
            at == null -> Page("") {}
            // Each place keeps its own scroll and folds.
            else ->
                holder.SaveableStateProvider(at.written().joinToString("|") { it ?: "-" }) {
                    key(at) { Shown(Frame(state, rememberConfirm(), at)) }
                }
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
private fun Shown(frame: Frame) {
    when (val screen = frame.state.screen) {
        null -> ProblemPage(frame)
        is Screen.Rigs -> RigsPage(frame, screen.screen)
        is Screen.Rig -> RigPage(frame, screen.screen)
        is Screen.RigEdit -> RigEditPage(frame, screen.screen)
        is Screen.Prep -> PrepPage(frame, screen.screen)
        is Screen.HoldSetup -> HoldSetupPage(frame, screen.screen)
        is Screen.Hold -> HoldPage(frame, screen.screen)
        is Screen.Recheck -> RecheckPage(frame, screen.screen)
        is Screen.Seals -> SealsPage(frame, screen.screen)
        is Screen.Seal -> SealPage(frame, screen.screen)
        is Screen.Service -> ServicePage(frame, screen.screen)
        is Screen.RingBox -> RingBoxPage(frame, screen.screen)
        is Screen.Spares -> SparesPage(frame, screen.screen)
        is Screen.Trim -> TrimPage(frame, screen.screen)
        is Screen.Journal -> JournalPage(frame, screen.screen)
        is Screen.Entry -> EntryPage(frame, screen.screen)
        is Screen.Photo -> PhotoPage(frame, screen.screen)
        is Screen.Crew -> CrewPage(frame, screen.screen)
    }
}

/** The frame of a screen: its problem, if any, on top; what was done, and can be undone, above the main action. */
@Composable
internal fun FramedPage(
    frame: Frame,
    place: String,
    detail: String?,
    form: Filled?,
    main: Main?,
    scrollKey: Any = Unit,
    body: LazyListScope.() -> Unit,
) =
    Page(
        place,
        detail?.ifEmpty { null },
        frame.back,
        main = main ?: form?.let { frame.submit(it) },
        undo =
            frame.state.bringing?.let { Undo(it, frame.words.giveUp) { frame.state.giveUp() } }
                ?: frame.state.bar?.undo(frame),
        confirm = frame.confirm,
        scrollKey = scrollKey,
    ) {
        frame.state.problem?.let { part { FactRow(it, mark = Mark.Struck, weight = Weight.Blocks) } }
        body()
    }

/** A form on a page of its own. */
@Composable
internal fun FormPage(frame: Frame, place: String, detail: String?, form: Filled) =
    FramedPage(frame, form.form.title.ifEmpty { place }, if (form.form.title.isEmpty()) detail else place, form, null) {
        form(frame, form, inline = false, titled = false)
    }

private fun Bar.undo(frame: Frame): Undo {
    val token = undo
    return if (token == null) Undo(says ?: "", null) {}
    else Undo(says ?: token.label, frame.words.undo) { frame.state.undo() }
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
