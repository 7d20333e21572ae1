package org.slackwater.app

import android.app.Instrumentation
import android.os.Bundle
import android.os.Parcel
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.semantics.getOrNull
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.performScrollToNode
import androidx.compose.ui.test.performSemanticsAction
import androidx.compose.ui.test.performTextReplacement
import kotlin.time.Duration.Companion.hours
import kotlin.time.Duration.Companion.minutes
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotSame
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.Robolectric
import org.robolectric.RuntimeEnvironment
import org.robolectric.android.controller.ActivityController
import org.robolectric.util.ReflectionHelpers
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.forms
import org.slackwater.desktop.rows

private const val HALF = "Half a w"

/**
 * What stood on the screen stands there again, after the phone was turned and after the app was ended and begun anew.
 */
class RecreateTest : RealAppTest() {
    @Test
    fun everyScreenIsAsItWasLeftWhenThePhoneIsTurned() {
        start()
        val places = everyPlace()
        everywhere(places) { scenario?.recreate() }
    }

    @Test
    fun everyScreenIsAsItWasLeftInANewProcess() {
        val places = startInAProcess()
        everywhere(places) { endAndBegin(phone.openedAtMs) }
    }

    @Test
    fun aHoldInProgressGoesOnInANewProcess() {
        val places = startInAProcess()
        val place = places.getValue("hold-running")
        open(At.rigs(), place)
        fun hold() = requireNotNull(app.page)
        val before = hold()
        type("The gauge reads", "201.8")
        endAndBegin(phone.openedAtMs + 5.minutes.inWholeMilliseconds)
        assertEquals(At.down(place), app.kept().places)
        assertTrue("the hold still runs", requireNotNull(hold().watch).running)
        assertEquals(before.rows("Readings").map { it.title }, hold().rows("Readings").map { it.title })
        assertEquals("201.8", app.value(hold().forms.single(), "gauge", ""))
        type("Temperature", "24.0")
        type("Barometer now", "1012")
        tap("Add the reading")
        assertEquals(before.rows("Readings").size + 1, hold().rows("Readings").size)
    }

    @Test
    fun theStepOfAPrepAndAHalfWrittenNoteComeBackInANewProcess() {
        val places = startInAProcess()
        val step = places.getValue("prep-controls")
        val rig = places.getValue("rig-dry")
        val noting = At.rig(At.partOf(rig, "rig"), "defect")
        open(At.rigs(), rig, step)
        val shown = requireNotNull(app.page)
        app.go(noting)
        type("What is wrong", "Crack beside the latch, seen on the")
        endAndBegin(phone.openedAtMs + 5.minutes.inWholeMilliseconds)
        assertEquals(At.kept(At.rigs(), rig, step, noting), app.kept().places)
        see(fieldWith("Crack beside the latch, seen on the"))
        back()
        val found = requireNotNull(app.page)
        assertEquals(listOf(shown.title, shown.step, shown.answer), listOf(found.title, found.step, found.answer))
        // What was typed waits where it was typed, and is what gets noted.
        app.go(noting)
        rule.waitForIdle()
        tap("Note a defect")
        open(At.rigs(), rig)
        seeText("Defect: Crack beside the latch, seen on the")
    }

    @Test
    fun theNoteOnAPhotoIsStillThereWhenThePhoneIsTurned() {
        start()
        val seal = everyPlace().getValue("seal-open")
        open(At.rigs(), seal)
        tap("Add a photo")
        type("Note on the photo", "Groove after cl")
        scenario?.recreate()
        see(fieldWith("Groove after cl"))
        tap("Keep the photo")
        assertPlace(seal)
        seeText("Groove after cl")
    }

    @Test
    fun aQuestionIsAskedAnewWhenThePhoneIsTurned() {
        start()
        val rig = everyPlace().getValue("rig-to-recheck")
        open(At.rigs(), rig)
        tap("See what proves Monitor housing")
        val before = requireNotNull(app.page)
        tap("Open Monitor housing")
        seeText("Opening Monitor housing takes away its hold", substring = true)
        scenario?.recreate()
        assertFalse(texts().any { it.startsWith("Opening Monitor housing") })
        assertEquals(before.answer, app.page?.answer)
    }

    /** The places of the demo; every kind of place is among them. */
    private fun everyPlace(): Map<String, String> {
        val places = Demo.places(core)
        val kinds = places.values.map { it.substringBefore(':') }.toSet()
        assertEquals("$kinds", 21, kinds.size)
        app.again()
        return places
    }

    /** Leaves each place half way, lets it come back, and compares. */
    private fun everywhere(places: Map<String, String>, comesBack: () -> Unit) {
        var typed = 0
        for ((name, place) in places) {
            open(*setOf(At.rigs(), place).toTypedArray())
            assertNull("$name: ${app.problem}", app.problem)
            if (typeHalf()) typed++
            rule.onNode(hasScrollAction()).performSemanticsAction(SemanticsActions.ScrollBy) { it(0f, 90f) }
            rule.waitForIdle()
            val left = seen()
            comesBack()
            rule.waitForIdle()
            val found = seen()
            assertEquals(name, left.places, found.places)
            assertEquals("$name: typed", left.typed, found.typed)
            assertEquals("$name: on the screen", left.read.map { it.first }, found.read.map { it.first })
            for ((was, now) in left.read zip found.read) assertTrue(
                "$name: $was now $now",
                near(was.second, now.second),
            )
        }
        assertTrue("only $typed forms were typed into", typed >= 20)
    }

    private fun fieldWith(typed: String) =
        SemanticsMatcher("a field with '$typed'") { node ->
            node.config.getOrNull(SemanticsProperties.EditableText)?.text == typed
        }

    private val fields = SemanticsMatcher.keyIsDefined(SemanticsActions.SetText)

    /** Types half a word into the first field; false where there is none. */
    private fun typeHalf(): Boolean {
        rule.waitForIdle()
        try {
            rule.onNode(hasScrollAction()).performScrollToNode(fields)
        } catch (_: AssertionError) {
            return false
        }
        rule.onAllNodes(fields)[0].performTextReplacement(HALF)
        rule.waitForIdle()
        assertTrue("what was typed is kept", app.kept().drafts.containsValue(HALF))
        return true
    }

    /** Where the app is, what was typed, and what can be read where. */
    private class Seen(val places: String, val typed: Map<String, String>, val read: List<Pair<String, Rect>>)

    private fun seen(): Seen {
        val nodes = rule.onAllNodes(SemanticsMatcher("any") { true }, useUnmergedTree = true).fetchSemanticsNodes()
        // A list keeps some of what has left it, unplaced, to be used again.
        val read =
            nodes
                .filter { it.layoutInfo.isPlaced && it.boundsInRoot.height > 0 }
                .flatMap { n -> n.read().map { it to n.boundsInRoot } }
        assertTrue("nothing to read on ${app.at}", read.isNotEmpty())
        return Seen(app.kept().places, app.kept().drafts, read)
    }

    /** The same place on the screen; a list counts in whole pixels what a finger moves in parts of one. */
    private fun near(a: Rect, b: Rect) =
        (a.topLeft - b.topLeft).getDistance() < 2 && (a.bottomRight - b.bottomRight).getDistance() < 2

    private fun SemanticsNode.read(): List<String> =
        config.getOrNull(SemanticsProperties.Text).orEmpty().map { it.text } +
            config.getOrNull(SemanticsProperties.ContentDescription).orEmpty() +
            listOfNotNull(config.getOrNull(SemanticsProperties.EditableText)?.text)

    private var activity: ActivityController<MainActivity>? = null

    /** Opens the demo in a process that can be ended; its places. */
    private fun startInAProcess(): Map<String, String> {
        start()
        val places = everyPlace()
        scenario?.close()
        scenario = null
        activity = Robolectric.buildActivity(MainActivity::class.java).setup()
        // Later than the demo has moved its clock: no run begins before the last one's end.
        endAndBegin(Demo.NOW_MS + 1.hours.inWholeMilliseconds)
        return places
    }

    /** The phone ends the app for want of memory; the person comes back to it, by the core's clock at [thenMs]. */
    private fun endAndBegin(thenMs: Long) {
        val kept = Bundle()
        requireNotNull(activity).pause().stop().saveInstanceState(kept).destroy()
        val (before, core) = phone to core
        phone.onTerminate()
        anotherApplication().openedAtMs = thenMs
        activity = Robolectric.buildActivity(MainActivity::class.java).setup(parcelled(kept))
        rule.waitForIdle()
        assertNotSame(before, phone)
        assertNotSame(core, this.core)
    }

    @After
    fun leave() {
        activity?.pause()?.stop()?.destroy()
    }
}

/** What Android hands from one process to the next. */
private fun parcelled(bundle: Bundle): Bundle = unmarshalled(bundle.marshalled())

internal fun Bundle.marshalled(): ByteArray {
    val parcel = Parcel.obtain()
    parcel.writeBundle(this)
    return parcel.marshall().also { parcel.recycle() }
}

internal fun unmarshalled(bytes: ByteArray): Bundle {
    val parcel = Parcel.obtain()
    parcel.unmarshall(bytes, 0, bytes.size)
    parcel.setDataPosition(0)
    return requireNotNull(parcel.readBundle(MainActivity::class.java.classLoader)).also { parcel.recycle() }
}

/** A process of its own, as far as that goes in one: nothing of the last application object is in the new one. */
@Suppress("DEPRECATION")
internal fun anotherApplication(): TestApp {
    val context = RuntimeEnvironment.getApplication().baseContext
    val next = Instrumentation.newApplication(TestApp::class.java, context) as TestApp
    RuntimeEnvironment.application = next
    ReflectionHelpers.setField(ReflectionHelpers.getField<Any>(context, "mPackageInfo"), "mApplication", next)
    next.onCreate()
    return next
}
