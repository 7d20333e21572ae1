package org.slackwater.app

import android.content.Intent
import androidx.test.core.app.ActivityScenario
import org.robolectric.util.ReflectionHelpers
import org.slackwater.bridge.RealCore
import org.slackwater.core.Action
import org.slackwater.core.HoldAction
import org.slackwater.core.HoldScreen
import org.slackwater.core.Place
import org.slackwater.core.RigAction
import org.slackwater.core.RigsAction
import org.slackwater.core.Screen
import org.slackwater.desktop.filled
import org.slackwater.desktop.went
import org.slackwater.ui.core.own

/** The rig with this in its name. */
fun RealCore.rigNamed(name: String): String {
    val row = (show(Place.Rigs(null)) as Screen.Rigs).screen.rigs.first { name in it.title }
    return (row.tap?.action?.own as RigsAction.OpenRig).rig
}

/** A hold of a rig's last enclosure under way, begun when this is made. */
class WatchedHold(private val core: RealCore, rig: String) {
    val place: Place.Hold
    val screen: HoldScreen
        get() = (core.show(place) as Screen.Hold).screen

    val reached
        get() = screen.reached

    init {
        val enclosures = (core.show(Place.Rig(rig, null)) as Screen.Rig).screen.enclosures
        val enclosure = (enclosures.last().tap?.action?.own as RigAction.CloseEnclosure).enclosure
        core.act(Place.Rig(rig, null), Action.Rig(RigAction.CloseEnclosure(enclosure)))
        val at = Place.HoldSetup(rig, enclosure)
        val form = (core.show(at) as Screen.HoldSetup).screen.form
        val typed =
            form.filled(
                "open" to "nothing",
                "gauge" to "203.4",
                "temperature" to "24.1",
                "ambient" to "1012",
                "resolution" to "0.1",
                "source" to "inside",
                "camera" to "cold",
                "desiccant" to "none",
                "stood" to "here",
            )
        place = core.act(at, Action.Hold(HoldAction.Submit(form.key, typed))).went() as Place.Hold
    }

    /** Reads the gauge a minute later. */
    fun read(gauge: String) {
        core.advanceClock(60_000)
        val form = requireNotNull(screen.form)
        val typed = form.filled("gauge" to gauge, "temperature" to "24.1", "ambient" to "1012")
        core.act(place, Action.Hold(HoldAction.Submit(form.key, typed)))
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
