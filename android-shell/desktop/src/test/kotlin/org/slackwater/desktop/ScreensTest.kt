package org.slackwater.desktop

import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.getValue
import androidx.compose.runtime.key
import androidx.compose.runtime.mutableFloatStateOf
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.assertIsDisplayed
import androidx.compose.ui.test.hasContentDescription
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasText
import androidx.compose.ui.test.junit4.v2.createComposeRule
import androidx.compose.ui.test.onNodeWithContentDescription
import androidx.compose.ui.test.onNodeWithText
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performScrollToNode
import androidx.compose.ui.test.performTextInput
import androidx.compose.ui.unit.Density
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.slackwater.core.Action
import org.slackwater.core.HoldAction
import org.slackwater.core.Outcome
import org.slackwater.core.Place
import org.slackwater.core.PrepAction
import org.slackwater.core.RecheckAction
import org.slackwater.core.RigAction
import org.slackwater.core.TrimAction
import org.slackwater.core.Undo
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Photo
import org.slackwater.ui.screens.SlackwaterApp

/** The layout of every screen on invented records: what a tap sends, what stands where. */
class ScreensTest {
    @get:Rule val rule = createComposeRule()

    private val core = SampleCore()
    private var scale by mutableFloatStateOf(1f)
    private var state by mutableStateOf<AppState?>(null)

    private fun open(place: Place) {
        state =
            AppState(
                    core,
                    quietPlatform(photo = Photo.Bytes(byteArrayOf(1))),
                    CoroutineScope(Dispatchers.Unconfined),
                    Dispatchers.Unconfined,
                    refreshEvery = null,
                    settle = kotlin.time.Duration.ZERO,
                    start = listOf(Place.Rigs(null), place).distinct(),
                )
                .apply { begin() }
    }

    private fun show(place: Place) {
        open(place)
        rule.setContent {
            CompositionLocalProvider(LocalDensity provides Density(LocalDensity.current.density, scale)) {
                state?.let { key(it) { SlackwaterApp(it, letters, calm = true) } }
            }
        }
    }

    private fun find(text: String) =
        rule.onNode(hasScrollAction()).performScrollToNode(hasText(text)).let { rule.onNodeWithText(text) }

    @Test
    fun everyTargetOfEveryScreenIsLargeNamedAndApart() {
        show(Place.Rigs(null))
        for (s in scales) for ((name, place) in Samples.places) {
            scale = s
            open(place)
            rule.waitForIdle()
            val problems = rule.targetProblems()
            assertTrue("$name at $s: ${problems.joinToString()}", problems.isEmpty())
            assertTrue(name, rule.onAllNodes(acts).fetchSemanticsNodes().isNotEmpty())
        }
    }

    @Test
    fun aRowSendsItsAction() {
        show(Place.Rig("rig-1", null))
        rule.onNodeWithText("Not ready: 3 things").assertIsDisplayed()
        rule.onNodeWithText("Start a hold").performClick()
        assertEquals(Place.Rig("rig-1", null) to Action.Rig(RigAction.Hold("main")), core.acted.single())
    }

    @Test
    fun whatCannotBeUndoneAsksFirst() {
        show(Place.Rig("ready", null))
        rule.onNodeWithText("Open it").performClick()
        assertTrue(core.acted.isEmpty())
        rule.onNodeWithText("No, leave it").performClick()
        assertTrue(core.acted.isEmpty())
        rule.onNodeWithText("Open it").performClick()
        rule.onNodeWithText("Open it").performClick()
        assertEquals(Action.Rig(RigAction.OpenClosure("main", null)), core.acted.single().second)
    }

    @Test
    fun whatCannotBeUsedNowSaysWhyAndSendsNothing() {
        show(Place.Prep("prep-1", "seal", null))
        rule.onNodeWithText("3 parts are not confirmed").assertIsDisplayed().performClick()
        assertTrue(core.acted.isEmpty())
        find("Cleaned, and its groove").performClick()
        assertEquals(Action.Prep(PrepAction.Tick("seal", "cleaned", true)), core.acted.single().second)
    }

    @Test
    fun aFormSendsWhatWasTypedAndShowsTheUndo() {
        show(Place.Hold("hold-1", null))
        rule.onNode(hasScrollAction()).performScrollToNode(SemanticsMatcher.keyIsDefined(SemanticsActions.SetText))
        rule.onNodeWithContentDescription("Gauge reads", substring = true).performTextInput("194,5")
        core.answer = Outcome(null, false, "Reading kept", Undo("Undo: reading", "r"), emptyList())
        rule.onNodeWithText("Add the reading").performClick()
        val sent = (core.acted.single().second as Action.Hold).action as HoldAction.Submit
        assertEquals(listOf("194,5", "24.5"), sent.values.map { it.value })
        rule.onNodeWithText("Reading kept").assertIsDisplayed()
        rule.onNodeWithText("Undo").performClick()
        assertEquals(listOf("r"), core.undone)
    }

    @Test
    fun theRecheckSendsTheReadingOfItsEnclosure() {
        show(Place.Recheck("rig-1"))
        rule.onNodeWithContentDescription("Expected now, 187 mbar, give or take 2 mbar").assertIsDisplayed()
        val gauge = "Main housing: Gauge reads, mbar"
        rule.onNode(hasScrollAction()).performScrollToNode(hasContentDescription(gauge))
        rule.onNodeWithContentDescription(gauge).performTextInput("187")
        rule.onNodeWithText("Keep the reading").performClick()
        assertEquals(
            "reading/main",
            ((core.acted.single().second as Action.Recheck).action as RecheckAction.Submit).form,
        )
    }

    @Test
    fun theChartAndTheOrderOfScrewsAreSaidInWords() {
        show(Place.Hold("ended", null))
        rule.onNodeWithContentDescription("9 readings", substring = true).assertIsDisplayed()
        open(Place.Prep("prep-1", null, null))
        rule.onNode(hasScrollAction()).performScrollToNode(hasText("Follow the numbers", substring = true))
        rule.onNodeWithContentDescription("Follow the numbers", substring = true).assertExists()
    }

    @Test
    fun whatToHangIsTickedAndTheDrawingIsSaidInWords() {
        show(Place.Trim("rig-1", null))
        find("3 · Rear left: take 50 g off").performClick()
        assertEquals(Action.Trim(TrimAction.Tick("p", "100", 1u, true)), core.acted.single().second)
        rule
            .onNode(hasScrollAction())
            .performScrollToNode(
                SemanticsMatcher.expectValue(
                    SemanticsProperties.ContentDescription,
                    listOf("From starboard. The rig is heavy by 40 g, nose 2° up. 1, Front left: 100 g."),
                )
            )
        find("Learnt in the water")
        find("Take it back").performClick()
        rule.onNodeWithText("Take this back, and what it taught about the parts?").assertIsDisplayed()
    }

    @Test
    fun aPhotoIsNotedAndKept() {
        show(Place.Prep("prep-1", null, null))
        find("Add a photo").performClick()
        rule.onNodeWithContentDescription("Note on the photo").performTextInput("Gap at the latch")
        rule.onNodeWithText("Keep the photo").performClick()
        assertEquals(listOf("step/prep-1/screws" to "Gap at the latch"), core.photos)
        // The step comes back where it was scrolled to.
        rule.onNodeWithText("Add a photo").assertIsDisplayed()
    }

    @Test
    fun manyChoicesAreFoldedAndUnfold() {
        show(Place.RingBox("add"))
        rule.onNodeWithText("Material 7").assertDoesNotExist()
        find("Choose another").performClick()
        find("Material 7").performClick()
        rule.onNodeWithText("Material 7").assertIsDisplayed()
        rule.onNodeWithText("Material 3").assertDoesNotExist()
    }

    @Test
    fun backReturnsAndTheLightChanges() {
        show(Place.Crew(null))
        rule.onNodeWithContentDescription("Back").performClick()
        find("Night").performClick()
        assertEquals(org.slackwater.ui.design.Light.Night, state?.light)
    }
}
