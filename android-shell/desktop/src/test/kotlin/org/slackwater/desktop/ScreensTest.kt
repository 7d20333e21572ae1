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
import androidx.compose.ui.test.hasClickAction
import androidx.compose.ui.test.hasContentDescription
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasSetTextAction
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
import org.slackwater.core.Reply
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

    private fun open(name: String) {
        state =
            AppState(
                    core,
                    quietPlatform(photo = Photo.Bytes(byteArrayOf(1))),
                    CoroutineScope(Dispatchers.Unconfined),
                    Dispatchers.Unconfined,
                    refreshEvery = null,
                    settle = kotlin.time.Duration.ZERO,
                    start = listOf("rigs", name).distinct().joinToString("/"),
                )
                .apply { begin() }
    }

    private fun show(name: String) {
        open(name)
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
        show("rigs")
        for (s in scales) for (name in Samples.pages.keys - "nothing") {
            scale = s
            open(name)
            rule.waitForIdle()
            val problems = rule.targetProblems()
            assertTrue("$name at $s: ${problems.joinToString()}", problems.isEmpty())
            assertTrue(name, rule.onAllNodes(acts).fetchSemanticsNodes().isNotEmpty())
        }
    }

    @Test
    fun aRowSendsItsAction() {
        show("not-ready")
        rule.onNodeWithText("Not ready: 3 things").assertIsDisplayed()
        rule.onNodeWithText("Start a hold").performClick()
        assertEquals("not-ready" to "Start a hold", core.acted.single())
    }

    @Test
    fun whatCannotBeUndoneAsksFirst() {
        show("not-ready")
        find("Open it").performClick()
        assertTrue(core.acted.isEmpty())
        rule.onNodeWithText("No, leave it").performClick()
        assertTrue(core.acted.isEmpty())
        find("Open it").performClick()
        rule.onNodeWithText("Open it").performClick()
        assertEquals("Open it", core.acted.single().second)
    }

    @Test
    fun whatCannotBeUsedNowSaysWhyAndSendsNothing() {
        show("ticks")
        rule.onNodeWithText("3 parts are not confirmed").assertIsDisplayed().performClick()
        assertTrue(core.acted.isEmpty())
        find("Cleaned, and its groove").performClick()
        assertEquals("Cleaned, and its groove", core.acted.single().second)
    }

    @Test
    fun aFormSendsWhatWasTypedAndShowsTheUndo() {
        show("hold-running")
        rule.onNode(hasScrollAction()).performScrollToNode(SemanticsMatcher.keyIsDefined(SemanticsActions.SetText))
        rule.onNodeWithContentDescription("Gauge reads", substring = true).performTextInput("194,5")
        core.answer = Reply("Reading kept", Undo("Undo: reading", "r"), emptyList())
        rule.onNodeWithText("Add the reading").performClick()
        assertEquals(listOf("194,5", "24.5"), core.submitted.single().second.map { it.value })
        rule.onNodeWithText("Reading kept").assertIsDisplayed()
        rule.onNodeWithText("Undo").performClick()
        assertEquals(listOf("r"), core.undone)
    }

    @Test
    fun numbersAreTypedOnThePagesOwnPad() {
        show("recheck")
        fun key(says: String) = rule.onNode(hasText(says) and hasClickAction()).performClick()
        // The first number that is asked for has the pad without a tap.
        for (says in listOf("1", "8", "7", ".", "5", "7")) key(says)
        rule.onNodeWithContentDescription("Take back a digit").performClick()
        rule.onNodeWithText("Record the reading").performClick()
        assertEquals("187.5", core.submitted.single().second.single().value)
        // In another field the first key replaces what stands there.
        val air = SemanticsMatcher("air") { it.spoken().startsWith("Monitor housing: Air in the shade") }
        rule.onNode(hasScrollAction()).performScrollToNode(air)
        rule.onNode(air and hasSetTextAction()).performClick()
        for (says in listOf("−", "2")) key(says)
        rule.onNode(air and hasText("-2")).assertExists()
        rule.onNodeWithContentDescription("Put the keys away").performClick()
        rule.onNodeWithContentDescription("Take back a digit").assertDoesNotExist()
    }

    @Test
    fun theRecheckSendsTheReadingOfItsEnclosure() {
        show("recheck")
        rule.onNodeWithContentDescription("Expected now, 187 mbar, give or take 2 mbar").assertIsDisplayed()
        val gauge = "Main housing: Gauge reads, mbar"
        rule.onNode(hasScrollAction()).performScrollToNode(hasContentDescription(gauge))
        rule.onNodeWithContentDescription(gauge).performTextInput("187")
        rule.onNodeWithText("Record the reading").performClick()
        assertEquals("reading/main", core.submitted.single().first)
    }

    @Test
    fun theChartAndTheOrderOfScrewsAreSaidInWords() {
        show("hold-ended")
        rule.onNodeWithContentDescription("9 readings", substring = true).assertIsDisplayed()
        open("screws")
        rule.onNode(hasScrollAction()).performScrollToNode(hasText("Follow the numbers", substring = true))
        rule.onNodeWithContentDescription("Follow the numbers", substring = true).assertExists()
    }

    @Test
    fun whatToHangIsTickedAndTheDrawingIsSaidInWords() {
        show("trim")
        find("3 · Rear left: take 50 g off").performClick()
        assertEquals("tick 3", core.acted.single().second)
        rule
            .onNode(hasScrollAction())
            .performScrollToNode(
                SemanticsMatcher.expectValue(
                    SemanticsProperties.ContentDescription,
                    listOf("From its right. The rig is heavy by 40 g, nose 2° up. 1, Front left: 100 g."),
                )
            )
        find("Learnt in the water")
        find("Take it back").performClick()
        rule.onNodeWithText("Take this back, and what it taught about the parts?").assertIsDisplayed()
    }

    @Test
    fun aPhotoIsNotedAndKept() {
        show("screws")
        find("Add a photo").performClick()
        rule.onNodeWithContentDescription("Note on the photo").performTextInput("Gap at the latch")
        rule.onNodeWithText("Keep the photo").performClick()
        assertEquals(listOf("step/prep-1/screws" to "Gap at the latch"), core.photos)
        // The step comes back where it was scrolled to.
        rule.onNodeWithText("Add a photo").assertIsDisplayed()
    }

    @Test
    fun manyChoicesAreFoldedAndUnfold() {
        show("fields")
        rule.onNodeWithText("Material 7").assertDoesNotExist()
        find("Choose another").performClick()
        find("Material 7").performClick()
        rule.onNodeWithText("Material 7").assertIsDisplayed()
        rule.onNodeWithText("Material 3").assertDoesNotExist()
    }

    @Test
    fun backReturnsAndTheLightChanges() {
        show("not-ready")
        rule.onNodeWithContentDescription("Back").performClick()
        find("Night").performClick()
        assertEquals(org.slackwater.ui.design.Light.Night, state?.light)
    }
}
