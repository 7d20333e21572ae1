package org.slackwater.app

import android.os.Build
import android.view.ViewGroup
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.test.onRoot
import androidx.core.graphics.Insets
import androidx.core.view.ViewCompat
import androidx.core.view.WindowCompat
import androidx.core.view.WindowInsetsCompat
import androidx.core.view.WindowInsetsCompat.Type
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Assume.assumeTrue
import org.junit.Test
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.acts
import org.slackwater.desktop.spoken
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.paletteFor

/** Heights and widths of what the phone draws over the edges of the window, in pixels. */
private val bars = Insets.of(0, 120, 0, 140)
private val notch = Insets.of(90, 0, 0, 0)
private val keyboard = Insets.of(0, 0, 0, 900)

/** The window reaches from edge to edge; what acts or is read stays clear of the bars, the notch and the keyboard. */
class EdgesTest : RealAppTest() {
    @Test
    fun nothingActsOrIsReadUnderTheBarsOnAnyScreen() {
        start()
        val places = Demo.places(core)
        inset(bars, notch, Insets.NONE)
        for ((name, place) in places) {
            open(*setOf(At.rigs(), place).toTypedArray())
            val problems = covered(bars.top, bars.bottom, notch.left)
            assertTrue("$name: ${problems.joinToString()}", problems.isEmpty())
        }
    }

    @Test
    fun theActionStandsAboveTheKeyboard() {
        start()
        val place = Demo.places(core).getValue("hold-setup")
        open(At.rigs(), place)
        val before = covered(bars.top, keyboard.bottom, 0)
        assertTrue("without the keyboard the action stands lower", before.any { "Start with the valve closed" in it })
        inset(bars, Insets.NONE, keyboard)
        assertEquals(emptyList<String>(), covered(bars.top, keyboard.bottom, 0))
    }

    @Test
    fun theSignsInTheBarsStandOutInEachLight() {
        start()
        for (light in Light.entries + Light.Day) {
            app.light = light
            rule.waitForIdle()
            scenario?.onActivity { activity ->
                val signs = WindowCompat.getInsetsController(activity.window, activity.window.decorView)
                assertEquals("$light, above", paletteFor(light).isLight, signs.isAppearanceLightStatusBars)
                assertEquals("$light, below", paletteFor(light).isLight, signs.isAppearanceLightNavigationBars)
            }
        }
    }

    /** Tells the window what covers its edges, as the phone would. */
    private fun inset(systemBars: Insets, cutout: Insets, ime: Insets) {
        assumeTrue("no window is told insets here", Build.VERSION.SDK_INT >= Build.VERSION_CODES.R)
        scenario?.onActivity { activity ->
            val insets =
                WindowInsetsCompat.Builder()
                    .setInsets(Type.systemBars(), systemBars)
                    .setInsets(Type.displayCutout(), cutout)
                    .setInsets(Type.ime(), ime)
                    .build()
            val content = activity.findViewById<ViewGroup>(android.R.id.content)
            ViewCompat.setOnApplyWindowInsetsListener(content) { _, _ -> insets }
            content.requestApplyInsets()
        }
        rule.waitForIdle()
    }

    /** What acts, or is read, and reaches under what covers the edges. */
    private fun covered(top: Int, bottom: Int, left: Int): List<String> {
        rule.waitForIdle()
        val window = rule.onRoot().fetchSemanticsNode().size
        fun SemanticsNode.clear() = boundsInRoot.let {
            it.top >= top && it.bottom <= window.height - bottom && it.left >= left
        }
        return rule
            .onAllNodes(acts)
            .fetchSemanticsNodes()
            .filter { it.layoutInfo.isPlaced && !it.boundsInRoot.isEmpty && !it.clear() }
            .map { "'${it.spoken()}' at ${it.boundsInRoot} in ${window.width}x${window.height}" }
    }
}
