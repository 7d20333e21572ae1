package org.slackwater.desktop

import kotlin.math.exp
import org.junit.Assert.assertTrue
import org.junit.Assert.fail
import org.junit.Test
import org.slackwater.core.FieldKind
import org.slackwater.core.HoldScreen
import org.slackwater.core.Mark
import org.slackwater.core.PrepAction
import org.slackwater.core.PrepScreen
import org.slackwater.core.RigScreen
import org.slackwater.core.Screen
import org.slackwater.ui.core.own

/** A whole dive day by taps: dry parts, ready, the dive, the care after it. */
class DiveDayTest : RealAppTest() {
    private val prep: PrepScreen
        get() = (app.screen as? Screen.Prep)?.screen ?: error("not on a prep but ${app.place}: ${app.problem}")

    private val rig: RigScreen
        get() = (app.screen as? Screen.Rig)?.screen ?: error("not on a rig but ${app.place}: ${app.problem}")

    private val hold: HoldScreen
        get() = (app.screen as? Screen.Hold)?.screen ?: error("not on a hold but ${app.place}: ${app.problem}")

    private val stepsDone = mutableListOf<String>()

    @Test
    fun fromDryPartsToReadyTheDiveAndTheCareAfterIt() {
        start()
        tap("Pool rig")
        assertTrue(rig.answer, rig.answer.startsWith("Not ready"))
        tap("Build and prove")
        // From the row of the procedure or from the obstacle, the prep is begun.
        if (app.screen !is Screen.Prep) tap("Start")
        work()
        tap("End the prep")
        if (app.screen is Screen.Prep) tap("To the rig")
        assertTrue(
            "${rig.answer}: ${rig.obstacles.map { it.title }}",
            rig.obstacles.all { it.title.startsWith("Recheck") },
        )
        assertTrue("a day's build has many steps, not ${stepsDone.size}", stepsDone.size > 30)

        core.advanceClock(40 * 60_000)
        tap("Deck recheck")
        recheck()
        tap("To the rig")
        // The plugs were out for the recheck: another member sees them in again.
        tap(requireNotNull(rig.main).label)
        sign()
        assertTrue(rig.answer, rig.answer.startsWith("Ready until"))
        seeText("A vacuum hold proves the seals at a fraction of an atmosphere", substring = true)

        core.advanceClock(30 * 60_000)
        tap("Log a dive")
        type("Deepest", "14")
        type("Time under water", "52")
        tap("Log a dive")
        seeText("Dive logged")

        core.advanceClock(90 * 60_000)
        val afterDive = rig.procedures.first { it.detail == "After the last dive of the day" }.title
        tap(afterDive)
        work()
        tap("End the prep")
        if (app.screen is Screen.Prep) tap("To the rig")
        assertTrue("opened for care, it is not ready: ${rig.answer}", rig.answer.startsWith("Not ready"))

        // The day stands in the journal.
        tap("Journal")
        assertTrue((app.screen as Screen.Journal).screen.entries.size >= 40)
    }

    /** Works the prep on the screen through to its last step. */
    private fun work() {
        var stuck = 0
        while (prep.step.isNotEmpty()) {
            val before = prep
            core.advanceClock(45_000)
            for (part in before.parts) confirm(part.title, part.tap?.action?.own, part.tap?.label, part.mark)
            if (stepsDone.size % 7 == 0) assertGoodTargets()
            if (wentElsewhere(before)) continue
            val ask = prep.main?.action?.own
            if (ask is PrepAction.ShowForm && ask.form.startsWith("sign/")) sign()
            if (prep.step == before.step && prep.state == before.state) {
                stuck++
                if (stuck > 2)
                    fail("stuck at ${before.place}: ${before.instruction}: ${app.bar} ${app.problem} ${texts()}")
            } else {
                stuck = 0
                stepsDone += before.step
            }
        }
    }

    /** Asks the other member to look, who looks and signs. */
    private fun sign() {
        tap(requireNotNull(prep.main).label)
        tap(requireNotNull(prep.main).label)
    }

    /** Does what the step asks for; true if that was done on another screen, which is left again. */
    private fun wentElsewhere(before: PrepScreen): Boolean {
        val main = prep.main
        when {
            prep.form != null && main == null -> measure()
            main == null -> fail("nothing to do at ${before.place}: ${before.instruction}")
            main.action.own is PrepAction.Hold -> {
                tap(main.label)
                proveTight()
            }
            main.action.own is PrepAction.OpenTrim -> {
                tap(main.label)
                trim()
            }
            else -> {
                if (!main.enabled && "photo" in main.whyNot.orEmpty()) addPhoto()
                val now = requireNotNull(prep.main)
                if (!now.enabled) fail("${before.instruction}: ${now.whyNot}")
                tap(now.label)
                if (now.confirm != null) tap(now.label)
            }
        }
        return main?.action?.own is PrepAction.Hold || main?.action?.own is PrepAction.OpenTrim
    }

    /** Hangs what the list says, one weight after the other, and keeps the trim. */
    private fun trim() {
        fun screen() = (app.screen as? Screen.Trim)?.screen ?: error("not on the trim but ${app.place}: ${app.problem}")
        assertGoodTargets()
        val list = screen().list.filter { it.mark != Mark.FULL }
        assertTrue("nothing to hang: ${screen().answer}", list.isNotEmpty())
        for (row in list) tap(row.title)
        assertTrue("${screen().list.map { it.title to it.mark }}", screen().list.all { it.mark == Mark.FULL })
        tap(requireNotNull(screen().main).label)
        assertTrue(screen().answer, screen().answer == "Trimmed")
        back()
    }

    private fun confirm(title: String, action: Any?, label: String?, mark: Mark?) {
        when (action) {
            is PrepAction.Tick -> if (action.on) tap(title)
            is PrepAction.ControlTested -> if (mark != Mark.FULL) tapDescribed("$title: $label")
            else -> Unit
        }
    }

    private fun addPhoto() {
        tap("Add a photo")
        type("Note on the photo", "As it is now")
        tap("Keep the photo")
    }

    private fun measure() {
        val form = requireNotNull(prep.form)
        for (field in form.fields) {
            val limits = Regex("""\d+(\.\d+)?""").findAll(field.hint.orEmpty()).map { it.value.toDouble() }.toList()
            val value = if (limits.isEmpty()) 1.0 else limits.average()
            when (field.kind) {
                FieldKind.NUMBER -> type(field.label, "$value")
                FieldKind.TEXT,
                FieldKind.LONG_TEXT -> type(field.label, "as it should be")
                else -> Unit
            }
        }
        tap(form.submit)
    }

    /** Pumps down, reads until the core has a verdict, ends the hold, refits the plug, and comes back to the prep. */
    private fun proveTight() {
        fun gauge(minutes: Double) = 205.0 + 1.6 * exp(-minutes / 4)
        fun typed(value: Double) = ((value * 10).toInt() / 10.0).toString()
        type("The gauge reads", typed(gauge(0.0)))
        type("Temperature", "24.0")
        type("Barometer now", "1012")
        type("Smallest", "0.1")
        tap("On the housing, in the shade")
        tap("Nothing: it is a vacuum gauge")
        tap("Off and cold")
        tap("No desiccant, or spent packs")
        tap("Stood here")
        assertGoodTargets()
        tap("Valve is closed: start")
        var minutes = 0.0
        while (hold.main == null) {
            val wait = if (minutes < 5) 0.5 else 4.0
            minutes += wait
            if (minutes > 300)
                fail("no verdict after $minutes minutes: ${hold.verdict} ${hold.reasons.map { it.text }}")
            core.advanceClock((wait * 60_000).toLong())
            type("The gauge reads", typed(gauge(minutes)))
            type("Temperature", "24.0")
            type("Barometer now", "1012")
            tap("Add the reading")
        }
        assertGoodTargets()
        assertTrue(hold.verdict, hold.verdict.startsWith("Tight"))
        tap("End the hold with this verdict")
        assertTrue(hold.verdict, hold.verdict.startsWith("Tight"))
        back()
    }

    private fun recheck() {
        // Each camera is asked about in the same words: answered by the question's own key.
        val air = (app.screen as Screen.Recheck).screen.air
        for (field in air.fields.filter { "camera" in it.key }) rule.runOnIdle { app.type(air, field.key, "off") }
        type("Temperature", "24.0")
        type("Barometer now", "1012")
        tap("This is the air now")
        val count = (app.screen as Screen.Recheck).screen.items.size
        repeat(count) {
            val screen = (app.screen as Screen.Recheck).screen
            val item = screen.items.first { it.mark == Mark.HOLLOW }
            val expected = requireNotNull(item.expected) { "${item.name} has no expected reading" }
            type("${item.name}: ${item.form!!.fields.first().label}", expected.value)
            tap("That is what it reads")
        }
        val screen = (app.screen as Screen.Recheck).screen
        for (item in screen.items) item.next?.let { tap(it.label) }
        val after = (app.screen as Screen.Recheck).screen.items
        assertTrue(
            after.joinToString { "${it.name}: ${it.state} ${it.expected?.value} ${it.reasons.map { r -> r.text }}" },
            after.all { it.mark == Mark.FULL },
        )
        assertGoodTargets()
    }
}
