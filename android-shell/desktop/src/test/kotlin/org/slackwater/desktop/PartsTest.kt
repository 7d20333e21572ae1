package org.slackwater.desktop

import androidx.compose.foundation.clickable
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.size
import androidx.compose.runtime.Composable
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableFloatStateOf
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.Modifier
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.platform.LocalLayoutDirection
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.assert
import androidx.compose.ui.test.assertHeightIsAtLeast
import androidx.compose.ui.test.assertIsDisplayed
import androidx.compose.ui.test.assertIsNotEnabled
import androidx.compose.ui.test.assertIsOff
import androidx.compose.ui.test.assertIsOn
import androidx.compose.ui.test.assertIsSelected
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasText
import androidx.compose.ui.test.junit4.v2.createComposeRule
import androidx.compose.ui.test.onNodeWithContentDescription
import androidx.compose.ui.test.onNodeWithText
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performScrollToNode
import androidx.compose.ui.test.performTextInput
import androidx.compose.ui.test.performTextReplacement
import androidx.compose.ui.unit.Density
import androidx.compose.ui.unit.LayoutDirection
import androidx.compose.ui.unit.dp
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.slackwater.ui.design.Entry
import org.slackwater.ui.design.Field
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.Page
import org.slackwater.ui.design.SlackwaterTheme
import org.slackwater.ui.design.part

class PartsTest {
    @get:Rule val rule = createComposeRule()

    private var page by mutableStateOf(GalleryPage.Actions)
    private var scale by mutableFloatStateOf(1f)
    private var direction by mutableStateOf(LayoutDirection.Ltr)

    private fun show(content: @Composable () -> Unit = { Gallery(page) }) = rule.setContent {
        CompositionLocalProvider(
            LocalDensity provides Density(LocalDensity.current.density, scale),
            LocalLayoutDirection provides direction,
        ) {
            SlackwaterTheme(Light.Day, letters, calm = true, content = content)
        }
    }

    @Test
    fun targetsAreLargeNamedAndApartAtEveryScaleAndDirection() {
        show()
        for (p in GalleryPage.entries) for (s in scales) for (d in LayoutDirection.entries) {
            page = p
            scale = s
            direction = d
            rule.waitForIdle()
            rule.assertTargets()
        }
    }

    @Test
    fun aSmallOrNamelessTargetIsFound() {
        show { Box(Modifier.size(40.dp).clickable {}) }
        val problems = rule.targetProblems().joinToString()
        assertTrue(problems, "40x40" in problems && "without a name" in problems && "no role" in problems)
    }

    @Test
    fun theMainActionIsTallAndTakesLongWords() {
        show()
        rule.onNodeWithText("Service the outer ring").assertHeightIsAtLeast(72.dp)
        page = GalleryPage.Long
        scale = 2f
        rule.waitForIdle()
        rule
            .onNodeWithText("Keep the reading, and go on to the next enclosure")
            .assertIsDisplayed()
            .assertHeightIsAtLeast(100.dp)
    }

    @Test
    fun whatCannotBeTappedSaysWhy() {
        show()
        rule.onNodeWithText("Dive").assertIsNotEnabled().assert(hasText("Not ready"))
    }

    @Test
    fun tickAndChoiceSpeakTheirState() {
        show()
        rule.onNode(hasScrollAction()).performScrollToNode(hasText("Fresh water"))
        rule.onNodeWithText("Looked at").assertIsOn().performClick().assertIsOff()
        rule.onNodeWithText("Fresh water").performClick().assertIsSelected()
    }

    @Test
    fun aNumberIsReadAsOneSentence() {
        page = GalleryPage.Values
        show()
        rule.onNodeWithContentDescription("Expected now, −183 mbar, give or take 2 mbar").assertIsDisplayed()
    }

    @Test
    fun aChartIsReadInWords() {
        page = GalleryPage.Words
        show()
        rule.onNodeWithContentDescription("9 readings from 203 mbar to 195 mbar", substring = true).assertIsDisplayed()
    }

    @Test
    fun anErrorKeepsWhatWasTypedAndIsSpoken() {
        page = GalleryPage.Values
        show()
        val field = rule.onNodeWithContentDescription("Reading on the gauge", substring = true)
        field.performTextReplacement("abc")
        field.assert(hasText("abc"))
        field.assert(SemanticsMatcher.keyIsDefined(SemanticsProperties.Error))
    }

    @Test
    fun yesStandsInTheOtherHalfAndASecondTapInThePlaceChangesNothing() {
        var said = ""
        page = GalleryPage.Asking
        show()
        for ((trigger, upper) in listOf("Open" to true, "Retire rig" to false)) {
            val at = rule.onNodeWithText(trigger).fetchSemanticsNode().boundsInRoot
            rule.onNodeWithText(trigger).performClick()
            rule.onNodeWithText("Open main housing?").assertIsDisplayed()
            val yes = rule.onNodeWithText("Yes, open it").fetchSemanticsNode().boundsInRoot
            val no = rule.onNodeWithText("No, keep it closed").fetchSemanticsNode().boundsInRoot
            assertTrue("$trigger: yes at $yes, asked at $at", !yes.overlaps(at))
            assertEquals(upper, yes.top > no.top)
            said += trigger
            rule.onNodeWithText("No, keep it closed").performClick()
            rule.onNodeWithText("Seal 1").assertIsDisplayed()
        }
        assertEquals("OpenRetire rig", said)
    }

    @Test
    fun longWordsAndLongNotesStayInside() {
        val long = "Ünterwassergehäuse".repeat(600)
        scale = 2f
        show {
            Page("Note", main = Main("Keep") {}) {
                part { Field("Note", long, {}, entry = Entry.Note) }
            }
        }
        rule.onNodeWithContentDescription("Note").performTextInput("x")
        rule.onNodeWithText("Keep").assertIsDisplayed()
        rule.assertTargets(2)
    }
}
