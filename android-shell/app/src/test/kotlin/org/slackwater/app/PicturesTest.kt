package org.slackwater.app

import android.graphics.Bitmap
import androidx.activity.compose.setContent
import androidx.compose.foundation.clickable
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.height
import androidx.compose.foundation.layout.size
import androidx.compose.foundation.layout.width
import androidx.compose.foundation.lazy.LazyColumn
import androidx.compose.material3.Text
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.clipToBounds
import androidx.compose.ui.graphics.asAndroidBitmap
import androidx.compose.ui.layout.layout
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.test.captureToImage
import androidx.compose.ui.test.hasScrollToIndexAction
import androidx.compose.ui.test.onRoot
import androidx.compose.ui.unit.Constraints
import androidx.compose.ui.unit.dp
import androidx.compose.ui.unit.sp
import java.io.File
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.RuntimeEnvironment
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.targetProblems
import org.slackwater.ui.design.Light

/** Font scales a phone offers: as delivered, large, largest. */
private val scales = listOf(1.0f, 1.3f, 2.0f)

private const val PHONE = "w412dp-h915dp-420dpi"

/** As wide as a phone, and so tall that nothing scrolls. */
private const val SCROLL = "w412dp-h20000dp-420dpi"

/**
 * Every screen at three sizes of letters in three lights, as Android lays it out.
 *
 * With the environment variable `SLACKWATER_PICTURES` (a regular expression of names; `.` for all) each is also drawn
 * to a PNG in the folder that the system property `slackwater.shots` names.
 */
class PicturesTest : RealAppTest() {
    @Test
    fun noTextIsCutAndEveryTargetIsLargeAndNamed() {
        start()
        val places = Demo.places(core)
        val problems = mutableListOf<String>()
        everywhere(places, SCROLL) { name ->
            val list = rule.onNode(hasScrollToIndexAction()).fetchSemanticsNode()
            val range = list.config[SemanticsProperties.VerticalScrollAxisRange]
            assertEquals("$name scrolls", 0f, range.maxValue())
            problems += (rule.textProblems() + rule.targetProblems()).map { "$name: $it" }
        }
        assertTrue(problems.distinct().joinToString("\n"), problems.isEmpty())
    }

    @Test
    fun whatDoesNotScrollIsWholeAndLeavesRoomForWhatDoes() {
        start()
        val places = Demo.places(core)
        val wanted = System.getenv("SLACKWATER_PICTURES")?.toRegex()
        val problems = mutableListOf<String>()
        everywhere(places, PHONE) { name ->
            problems += (rule.textProblems(scrolls = true) + roomProblems()).map { "$name: $it" }
            if (wanted?.containsMatchIn(name) == true) draw(name)
        }
        assertTrue(problems.distinct().joinToString("\n"), problems.isEmpty())
    }

    private fun everywhere(places: Map<String, String>, window: String, look: (String) -> Unit) {
        RuntimeEnvironment.setQualifiers(window)
        for (s in scales) {
            scale = s
            for (light in Light.entries) {
                app.light = light
                for ((name, place) in places) {
                    open(*setOf(At.rigs(), place).toTypedArray())
                    assertNull("$name: ${app.problem}", app.problem)
                    assertEquals(light, app.light)
                    look("$name-${light.name.lowercase()}-$s")
                }
            }
        }
    }

    private fun roomProblems(): List<String> {
        val list = rule.onNode(hasScrollToIndexAction()).fetchSemanticsNode().boundsInRoot
        val all = rule.onRoot().fetchSemanticsNode().boundsInRoot
        return if (list.height >= all.height / 3) emptyList()
        else listOf("only ${list.height} px of ${all.height} scroll")
    }

    private fun draw(name: String) {
        val folder = File(requireNotNull(System.getProperty("slackwater.shots")))
        val image = rule.onRoot().captureToImage().asAndroidBitmap()
        File(folder, "$name.png").outputStream().use { image.compress(Bitmap.CompressFormat.PNG, 100, it) }
    }

    /** What [content] is found to have wrong. */
    private fun problemsOf(content: @Composable () -> Unit): String {
        start(demo = false)
        scenario?.onActivity { it.setContent(content = content) }
        rule.waitForIdle()
        return (rule.textProblems() + rule.targetProblems()).joinToString("\n")
    }

    @Test
    fun aTextTooTallForItsBoxIsFound() {
        val found = problemsOf {
            Box(Modifier.size(200.dp, 30.dp)) { Text("As tall as three lines, and more", fontSize = 30.sp) }
        }
        assertTrue(found, "needs " in found)
    }

    @Test
    fun aTextTooWideIsFound() {
        val found = problemsOf {
            Box(Modifier.width(90.dp)) { Text("Wider than its box", softWrap = false, fontSize = 30.sp) }
        }
        assertTrue(found, "needs " in found)
    }

    @Test
    fun aTextCutOffByWhatHoldsItIsFound() {
        val whole = Modifier.layout { measurable, constraints ->
            val placed = measurable.measure(constraints.copy(minHeight = 0, maxHeight = Constraints.Infinity))
            layout(placed.width, placed.height) { placed.place(0, 0) }
        }
        val found = problemsOf {
            Box(Modifier.height(20.dp).clipToBounds()) { Text("Cut below", whole, fontSize = 40.sp) }
        }
        assertTrue(found, "is cut off" in found)
    }

    @Test
    fun aWordBrokenAlthoughItFitsIsFound() {
        // An invisible sign allows the break on every release; without it the old ones break no word.
        val found = problemsOf {
            Box(Modifier.width(160.dp)) { Text("Recheck Mon\u200Bitor", fontSize = 26.sp) }
        }
        assertTrue(found, "breaks 'Mon\u200B|itor'" in found)
    }

    @Test
    fun textsOnTopOfEachOtherAreFound() {
        val found = problemsOf {
            Box {
                Text("Over")
                Text("Under")
            }
        }
        assertTrue(found, "'Over' lies on 'Under'" in found)
    }

    @Test
    fun aSmallAndANamelessTargetAreFound() {
        val found = problemsOf { Column { Box(Modifier.size(40.dp).clickable {}) } }
        assertTrue(found, "105x105 px, least" in found && "a target without a name" in found && "has no role" in found)
    }

    @Test
    fun whatIsInOrderIsNotFound() {
        assertEquals("", problemsOf { LazyColumn { item { Text("All of it can be read") } } })
    }
}
