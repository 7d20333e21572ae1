package org.slackwater.app

import android.content.Intent
import androidx.test.core.app.ActivityScenario
import org.robolectric.util.ReflectionHelpers
import org.slackwater.bridge.RealCore
import org.slackwater.core.Page
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.housings

/** The rig with this in its name. */
fun RealCore.rigNamed(name: String): String = Demo.rigNamed(this, name)

/** A hold of a rig's monitor housing under way, begun when this is made. */
class WatchedHold(private val core: RealCore, rig: String, private val changed: () -> Unit) {
    val place: String
    val hold: String
        get() = At.partOf(place, "hold")

    val page: Page
        get() = Demo.aside(core) { Demo.show(core, place) }

    val reached
        get() = page.watch?.reached

    init {
        place = Demo.aside(core) { begun(rig) }
        changed()
    }

    private fun begun(rig: String): String {
        val shown = Demo.show(core, At.rig(rig))
        core.act(shown.at, requireNotNull(shown.housings().last().tap).action)
        return Demo.startHold(core, rig, source = "inside")
    }

    /** Reads the gauge a minute later. */
    fun read(gauge: String) {
        core.advanceClock(60_000)
        Demo.aside(core) { Demo.send(core, place, "gauge" to gauge, "temperature" to "24.1", "ambient" to "1012") }
        changed()
    }

    /** Gives it up. */
    fun giveUp() {
        Demo.aside(core) { Demo.send(core, At.hold(hold, "abandon"), "reason" to "wet") }
        changed()
    }
}

/** Android hands the running activity another intent. */
fun ActivityScenario<MainActivity>.hears(intent: Intent) {
    onActivity {
        ReflectionHelpers.callInstanceMethod<Unit>(
            it,
            "onNewIntent",
            ReflectionHelpers.ClassParameter.from(Intent::class.java, intent),
        )
    }
}
