package org.slackwater.desktop

import kotlin.math.exp
import org.junit.Assert.assertTrue
import org.junit.Assert.fail
import org.junit.Test
import org.slackwater.core.Block
import org.slackwater.core.FieldKind
import org.slackwater.core.Mark
import org.slackwater.core.Page

/** A whole dive day by taps: dry parts, ready, the dive, the care after it. */
class DiveDayTest : RealAppTest() {
    private val page: Page
        get() = app.page ?: error("nothing stands there: ${app.problem}")

    private val answer: String
        get() = page.answer?.text.orEmpty()

    private fun onPrep() = At.isA(app.at, "Prep")

    private val stepsDone = mutableListOf<String>()

    @Test
    fun fromDryPartsToReadyTheDiveAndTheCareAfterIt() {
        start()
        tap("Pool rig")
        assertTrue(answer, answer.startsWith("Not ready"))
        tap("Build and prove")
        // From the row of the procedure or from the obstacle, the prep is begun.
        if (!onPrep()) tap("Start")
        work()
        tap("End the prep")
        if (onPrep()) tap("To the rig")
        val left = page.rows("").map { it.title }
        assertTrue("$answer: $left", left.all { it.startsWith("Recheck") })
        assertTrue("a day's build has many steps, not ${stepsDone.size}", stepsDone.size > 30)

        core.advanceClock(40 * 60_000)
        tap("Deck recheck")
        recheck()
        tap("To the rig")
        // The plugs were out for the recheck: another member sees them in again.
        tap(requireNotNull(page.main).label)
        sign()
        assertTrue(answer, answer.startsWith("Ready until"))
        seeText("A vacuum hold proves the seals at a fraction of an atmosphere", substring = true)

        core.advanceClock(30 * 60_000)
        tap("Log a dive")
        type("Deepest", "14")
        type("Time under water", "52")
        tap("Log a dive")
        seeText("Dive logged")

        core.advanceClock(90 * 60_000)
        val afterDive = page.rows().first { it.detail == "After the last dive of the day" }.title
        tap(afterDive)
        work()
        tap("End the prep")
        if (onPrep()) tap("To the rig")
        assertTrue("opened for care, it is not ready: $answer", answer.startsWith("Not ready"))

        // The day stands in the journal.
        tap("Journal")
        assertTrue("${page.rows().map { it.title }}", page.rows().size in 15..40)
        tap("Every entry, one by one")
        assertTrue(page.rows().size >= 40)
    }

    /** Works the prep on the screen through to its last step. */
    private fun work() {
        var stuck = 0
        while (page.step.isNotEmpty()) {
            val before = page
            core.advanceClock(45_000)
            for (tick in before.blocks.filterIsInstance<Block.Ticks>().flatMap { it.ticks }) if (!tick.done)
                tap(tick.title)
            for (row in before.rows("")) {
                val works = row.tap?.takeIf { row.other != null && row.mark != Mark.FULL } ?: continue
                tapDescribed("${row.title}: ${works.label}")
            }
            if (stepsDone.size % 7 == 0) assertGoodTargets()
            goOn(before)
            if (!onPrep()) leaveIt(before)
            if (page.main?.label?.startsWith("Ask ") == true) sign()
            if (page.step == before.step && page.blocks == before.blocks) {
                stuck++
                if (stuck > 2) fail("stuck at ${before.title}: ${before.answer}: ${app.bar} ${app.problem} ${texts()}")
            } else {
                stuck = 0
                stepsDone += before.step
            }
        }
    }

    /** Asks the other member to look, who looks and signs. */
    private fun sign() {
        tap(requireNotNull(page.main).label)
        tap(requireNotNull(page.main).label)
    }

    /** Does what the step asks for at the thumb. */
    private fun goOn(before: Page) {
        val main = page.main
        when {
            page.forms.isNotEmpty() && main == null -> measure()
            main == null -> fail("nothing to do at ${before.title}: ${before.answer}")
            else -> {
                if (!main.enabled && "photo" in main.whyNot.orEmpty()) addPhoto()
                val now = requireNotNull(page.main)
                if (!now.enabled) fail("${before.answer}: ${now.whyNot}")
                tap(now.label)
                if (now.confirm != null) tap(now.label)
            }
        }
    }

    /** Some steps are done on a page of their own, from which one comes back. */
    private fun leaveIt(before: Page) =
        when {
            At.isA(app.at, "HoldSetup") -> proveTight()
            At.isA(app.at, "Trim") -> trim()
            // The gauges are read before a housing is opened, and compared.
            At.isA(app.at, "Recheck") -> {
                readGauges()
                back()
            }
            else -> fail("${before.title} led to ${app.at}")
        }

    /** Hangs what the list says, one weight after the other, and keeps the trim. */
    private fun trim() {
        fun list() = page.blocks.filterIsInstance<Block.Ticks>().first { it.title == "What to hang" }.ticks
        assertGoodTargets()
        val left = list().filter { !it.done }
        assertTrue("nothing to hang: $answer", left.isNotEmpty())
        for (tick in left) tap(tick.title)
        assertTrue("${list().map { it.title to it.done }}", list().all { it.done })
        tap(requireNotNull(page.main).label)
        assertTrue(answer, answer == "Trimmed")
        back()
    }

    private fun addPhoto() {
        tap("Add a photo")
        type("Note on the photo", "As it is now")
        tap("Keep the photo")
    }

    private fun measure() {
        val form = page.forms.single()
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
        tap("Start with the valve closed")
        var minutes = 0.0
        val end = "End the hold with this verdict"
        fun ends() = page.blocks.filterIsInstance<Block.Buttons>().any { b -> b.buttons.any { it.label == end } }
        while (!ends()) {
            val wait = if (minutes < 5) 0.5 else 4.0
            minutes += wait
            if (minutes > 300) fail("no verdict after $minutes minutes: $answer ${texts()}")
            core.advanceClock((wait * 60_000).toLong())
            type("The gauge reads", typed(gauge(minutes)))
            type("Temperature", "24.0")
            type("Barometer now", "1012")
            tap("Add the reading")
        }
        assertGoodTargets()
        assertTrue(answer, answer.startsWith("Tight"))
        // It asks, in the same words.
        repeat(2) { tap(end) }
        assertTrue(answer, answer.startsWith("Tight"))
        back()
    }

    private fun recheck() {
        readGauges()
        val offered = page.blocks.filterIsInstance<Block.Buttons>().flatMap { it.buttons }
        for (button in offered.filter { it.label != "About this page" }) tap(button.label)
        val states = page.blocks.filterIsInstance<Block.Lines>().flatMap { it.lines }.filter { it.mark != null }
        assertTrue("$states", states.isNotEmpty() && states.all { it.mark == Mark.FULL })
        assertGoodTargets()
    }

    /** Says what the air is, and that each gauge reads as foretold. */
    private fun readGauges() {
        // Each camera is asked about in the same words: answered by the question's own key.
        val air = page.forms.first { it.key == "air" }
        for (field in air.fields.filter { "camera" in it.key }) rule.runOnIdle { app.type(air, field.key, "off") }
        if (air.fields.any { it.key == "stood" }) rule.runOnIdle { app.type(air, "stood", "here") }
        // Each housing has the probe of its own hold.
        for (field in air.fields.filter { "temperature" in it.key }) type(field.label, "24.0")
        type("Barometer now", "1012")
        tap("This is the air now")
        while (true) {
            val gauge = page.blocks.filterIsInstance<Block.Fields>().firstOrNull { it.atThumb } ?: break
            // What is foretold stands just before the field.
            val before = page.blocks.take(page.blocks.indexOf(gauge)).filterIsInstance<Block.Figures>().last()
            type("${gauge.of}: ${gauge.form.fields.first().label}", before.figures.first().value)
            tap("That is what it reads")
        }
    }
}
