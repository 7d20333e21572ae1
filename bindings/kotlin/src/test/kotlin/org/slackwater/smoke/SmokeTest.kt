package org.slackwater.smoke

import java.io.File
import java.util.Collections
import java.util.concurrent.atomic.AtomicInteger
import kotlin.concurrent.thread
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNotEquals
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.rules.TemporaryFolder
import org.slackwater.core.Action
import org.slackwater.core.FieldValue
import org.slackwater.core.HoldAction
import org.slackwater.core.Mark
import org.slackwater.core.Outcome
import org.slackwater.core.Place
import org.slackwater.core.PrepAction
import org.slackwater.core.RecheckAction
import org.slackwater.core.RigAction
import org.slackwater.core.RigScreen
import org.slackwater.core.RigsAction
import org.slackwater.core.RigsScreen
import org.slackwater.core.Screen
import org.slackwater.core.Severity
import org.slackwater.ffi.ChangeListener
import org.slackwater.ffi.LanguageFile
import org.slackwater.ffi.OpenOptions
import org.slackwater.ffi.Slackwater
import org.slackwater.ffi.SlackwaterException
import org.slackwater.ffi.failOnPurpose

private const val MORNING_MS = 1780293600000L

/** The scenario of `bindings/SMOKE.md`, step by step. */
class SmokeTest {
    @get:Rule val folders = TemporaryFolder()
    private val folder: File by lazy { folders.newFolder() }
    private val opened = mutableListOf<Slackwater>()

    @After fun closeAll() = opened.forEach { it.close() }

    /** Notes what it hears, and whether two calls were ever under way at once. */
    private class Ear : ChangeListener {
        val heard: MutableList<ULong> = Collections.synchronizedList(mutableListOf())
        val overlaps = AtomicInteger()
        private val inside = AtomicInteger()

        override fun changed(revision: ULong) {
            if (inside.incrementAndGet() > 1) overlaps.incrementAndGet()
            heard += revision
            inside.decrementAndGet()
        }
    }

    private fun open(
        demo: Boolean = false,
        time: Long? = MORNING_MS,
        seed: ByteArray? = null,
        language: LanguageFile? = null,
    ): Slackwater = Slackwater.open(OpenOptions(folder.path, 120, demo, time, seed, language)).also { opened += it }

    private fun typed(vararg values: Pair<String, String>) = values.map { (key, value) -> FieldValue(key, value) }

    private fun rigs(store: Slackwater): RigsScreen = (store.screens().show(Place.Rigs(null)) as Screen.Rigs).screen

    private fun newRig(store: Slackwater, name: String): Outcome =
        store
            .screens()
            .act(
                Place.Rigs("new"),
                Action.Rigs(RigsAction.Submit("new", typed("name" to name, "template" to "housing-and-monitor"))),
            )

    private fun reefRig(store: Slackwater): Place.Rig {
        val tap = rigs(store).rigs.first { it.title == "Reef rig" }.tap!!
        return store.screens().act(Place.Rigs(null), tap.action).go as Place.Rig
    }

    private inline fun <reified E : SlackwaterException> refused(call: () -> Unit): E {
        try {
            call()
        } catch (e: SlackwaterException) {
            if (e is E) return e
            throw AssertionError("refused in another way", e)
        }
        throw AssertionError("not refused, where ${E::class.simpleName} was due")
    }

    @Test
    fun s01Fresh() {
        val store = open()
        val screen = rigs(store)
        assertTrue(screen.rigs.isEmpty())
        assertTrue(screen.empty!!.text.isNotBlank())
        assertTrue(store.buildId(), store.buildId().startsWith("slackwater "))
    }

    @Test
    fun s02Listener() {
        val store = open()
        val ear = Ear()
        newRig(store, "Before")
        val subscription = store.subscribe(ear)
        assertEquals(1, ear.heard.size)
        val present = ear.heard[0]
        assertTrue(present > 0uL)
        rigs(store)
        assertEquals(listOf(present), ear.heard)
        newRig(store, "After")
        assertEquals(2, ear.heard.size)
        assertTrue(ear.heard[1] > present)
        subscription.close()
        newRig(store, "Unheard")
        assertEquals(2, ear.heard.size)
    }

    @Test
    fun s03NotANumber() {
        val store = open(demo = true)
        val screens = store.screens()
        val recheck = Place.Recheck(reefRig(store).rig)
        val journal = Place.Journal(null, null)
        val before = screens.show(journal)
        for (text in listOf("NaN", "inf", "-inf", "1e999", "twelve")) {
            val values = typed("temperature" to text, "ambient" to "1012")
            val outcome = screens.act(recheck, Action.Recheck(RecheckAction.Submit("air", values)))
            assertEquals(text, listOf("temperature"), outcome.faults.map { it.field })
            assertTrue(outcome.faults[0].text.isNotBlank())
        }
        assertEquals(before, screens.show(journal))
    }

    @Test
    fun s04ADayOnDeck() {
        val store = open(demo = true)
        val screens = store.screens()
        val rig = reefRig(store)
        fun onRig(): RigScreen = (screens.show(rig) as Screen.Rig).screen
        fun doRig(action: RigAction) = screens.act(rig, Action.Rig(action))

        assertNotEquals(Mark.FULL, onRig().mark)
        assertTrue(onRig().obstacles.isNotEmpty())
        for (row in onRig().obstacles) assertNotNull(row.title, row.tap)

        val setup = doRig(RigAction.Hold("monitor")).go!!
        val given =
            typed(
                "gauge" to "203.4",
                "temperature" to "24",
                "ambient" to "1012",
                "unit" to "mbar",
                "open" to "nothing",
                "resolution" to "0.1",
                "source" to "inside",
                "camera" to "cold",
                "desiccant" to "none",
                "stood" to "here",
            )
        val started = screens.act(setup, Action.Hold(HoldAction.Submit("setup", given)))
        assertEquals(emptyList<Any>(), started.faults)
        val hold = started.go!!
        fun main() = (screens.show(hold) as Screen.Hold).screen.main
        var readings = 0
        while (main() == null && readings < 60) {
            store.advanceClock(60_000)
            val reading = typed("gauge" to "203.4", "temperature" to "24", "ambient" to "1012")
            assertEquals(emptyList<Any>(), screens.act(hold, Action.Hold(HoldAction.Submit("reading", reading))).faults)
            readings++
        }
        for (due in listOf(HoldAction.Conclude, HoldAction.PlugOn)) {
            assertEquals("after $readings readings", Action.Hold(due), main()?.action)
            screens.act(hold, Action.Hold(due))
        }

        val recheck = Place.Recheck(rig.rig)
        fun items() = (screens.show(recheck) as Screen.Recheck).screen.items
        fun send(form: String, vararg values: Pair<String, String>) {
            val outcome = screens.act(recheck, Action.Recheck(RecheckAction.Submit(form, typed(*values))))
            assertEquals(emptyList<Any>(), outcome.faults)
        }
        val air = (screens.show(recheck) as Screen.Recheck).screen.air
        val cameras = air.fields.map { it.key }.filter { "camera" in it }.map { it to "off" }
        send("air", "temperature" to "24", "ambient" to "1012", *cameras.toTypedArray())
        for (item in items()) send(item.form!!.key, "gauge" to item.expected!!.value)
        for (next in items().mapNotNull { it.next }) {
            assertTrue("${next.action}", (next.action as? Action.Recheck)?.action is RecheckAction.PlugOn)
            screens.act(recheck, next.action)
        }
        // Two have to see the plugs: the other member is asked by name, and signs.
        val asked = screens.act(rig, onRig().obstacles.single().tap!!.action).go!!
        fun prep(at: Place) = (screens.show(at) as Screen.Prep).screen.main!!
        val page = screens.act(asked, prep(asked).action).go!!
        val signing = prep(page)
        assertTrue("${signing.action}", (signing.action as? Action.Prep)?.action is PrepAction.Sign)
        assertEquals(emptyList<Any>(), screens.act(page, signing.action).faults)
        assertEquals(emptyList<String>(), onRig().obstacles.map { it.title })
        assertEquals(onRig().answer, Mark.FULL, onRig().mark)

        doRig(RigAction.OpenClosure("monitor", null))
        assertNotEquals(onRig().answer, Mark.FULL, onRig().mark)
        assertTrue(onRig().obstacles.isNotEmpty())
    }

    @Test
    fun s05Absent() {
        val screens = open().screens()
        val why = refused<SlackwaterException.NotFound> { screens.show(Place.Rig("nowhere", null)) }
        assertTrue(why.reason, "nowhere" in why.reason)
        refused<SlackwaterException.NotFound> { screens.undo("nothing") }
    }

    @Test
    fun s06BadInput() {
        fun told(word: String, call: () -> Unit) {
            val why = refused<SlackwaterException.BadInput>(call)
            assertTrue(why.reason, word in why.reason)
        }
        told("3 bytes") { open(seed = byteArrayOf(1, 2, 3)) }
        told("line 1") { open(language = LanguageFile("de", "??? = {")) }
        val store = open(time = null)
        told("photo") { store.photos().add("rig/x", "", "no photo at all".toByteArray()) }
        told("clock") { store.advanceClock(1) }
        val faults = store.screens().addProcedure("this = is not\n[a procedure".toByteArray()).faults
        assertTrue("$faults", faults.isNotEmpty() && "ine " in faults[0].text)
    }

    @Test
    fun s07Busy() {
        val first = open()
        refused<SlackwaterException.Busy> { open() }
        first.close()
        rigs(open())
    }

    @Test
    fun s08Damaged() {
        open().close()
        val nonsense = "nonsense ".repeat(4096).toByteArray()
        folder.listFiles()!!.single { it.extension == "db" }.writeBytes(nonsense)
        assertTrue(rigs(open()).notices.any { it.severity == Severity.BLOCKING })
        assertTrue(folder.listFiles()!!.any { it.isFile && it.readBytes().contentEquals(nonsense) })
    }

    @Test
    fun s09Panic() {
        val store = open()
        assertEquals("on purpose", refused<SlackwaterException.Internal> { failOnPurpose() }.reason)
        rigs(store)
    }

    @Test
    fun s10Closed() {
        val store = open()
        val place = newRig(store, "Kept").go!!
        val screens = store.screens()
        val photos = store.photos()
        store.shut()
        store.shut()
        val calls =
            listOf<() -> Unit>(
                { screens.show(place) },
                { screens.act(Place.Rigs(null), Action.Rigs(RigsAction.OpenCrew)) },
                { screens.undo("x") },
                { screens.addProcedure(byteArrayOf()) },
                { photos.add("x", "", byteArrayOf()) },
                { photos.addFile("x", "", "y") },
                { photos.thumbnail("x") },
                { photos.export("x", false) },
                { store.words() },
                { store.setUtcOffset(0) },
                { store.advanceClock(1) },
            )
        for (call in calls) refused<SlackwaterException.Closed> { call() }
        assertEquals(listOf("Kept"), rigs(open()).rigs.map { it.title })
    }

    @Test
    fun s11AbsurdNumbers() {
        val store = open()
        newRig(store, "Kept")
        val calls =
            listOf<() -> Unit>(
                { store.setUtcOffset(Int.MIN_VALUE) },
                { store.setUtcOffset(Int.MAX_VALUE) },
                { store.advanceClock(Long.MIN_VALUE) },
                { store.advanceClock(Long.MAX_VALUE) },
                { open(time = Long.MIN_VALUE) },
                { open(time = Long.MAX_VALUE) },
            )
        for (call in calls) {
            refused<SlackwaterException.BadInput> { call() }
            assertEquals(listOf("Kept"), rigs(store).rigs.map { it.title })
        }
    }

    @Test
    fun s12Texts() {
        val store = open()
        val name = "שלום 🐠 مرحبا"
        val place = newRig(store, name).go!!
        assertEquals(name, (store.screens().show(place) as Screen.Rig).screen.name)
        assertEquals(listOf("name"), newRig(store, "x".repeat(10_000)).faults.map { it.field })
    }

    @Test
    fun s13Threads() {
        val store = open()
        val broken =
            store.subscribe(
                object : ChangeListener {
                    override fun changed(revision: ULong): Unit = throw IllegalStateException("the listener broke")
                }
            )
        store.setUtcOffset(0)
        broken.close()
        val ear = Ear()
        val subscription = store.subscribe(ear)
        val first = ear.heard[0]
        List(4) { thread { repeat(25) { store.setUtcOffset(it) } } }.forEach { it.join() }
        assertEquals(0, ear.overlaps.get())
        assertEquals(ear.heard.toSortedSet().toList(), ear.heard.toList())
        assertEquals(first + 100uL, ear.heard.last())
        subscription.close()
    }
}
