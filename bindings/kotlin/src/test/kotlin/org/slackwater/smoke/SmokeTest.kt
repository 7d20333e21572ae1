package org.slackwater.smoke

import java.io.File
import kotlin.concurrent.thread
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotEquals
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.rules.TemporaryFolder
import org.slackwater.core.Block
import org.slackwater.core.Document
import org.slackwater.core.FieldValue
import org.slackwater.core.Mark
import org.slackwater.core.Page
import org.slackwater.core.Reply
import org.slackwater.core.Severity
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

    private fun open(
        demo: Boolean = false,
        time: Long? = MORNING_MS,
        seed: ByteArray? = null,
        language: LanguageFile? = null,
    ): Slackwater = Slackwater.open(OpenOptions(folder.path, 120, demo, time, seed, language)).also { opened += it }

    private fun typed(vararg values: Pair<String, String>) = values.map { (key, value) -> FieldValue(key, value) }

    /** The page of what is named, over the rigs. */
    private fun Slackwater.show(kind: String? = null, vararg parts: Pair<String, String?>): Page {
        val named =
            parts.joinToString(",") { (key, value) -> "\"$key\":" + if (value == null) "null" else "\"$value\"" }
        val top = if (kind == null) "" else ",{\"$kind\":{$named}}"
        screens().restore("[{\"Rigs\":{\"form\":null}}$top]")
        return screens().page()
    }

    private fun Page.rows(title: String? = null) =
        blocks.filterIsInstance<Block.Rows>().filter { title == null || it.title == title }.flatMap { it.rows }

    private val Page.forms
        get() = blocks.filterIsInstance<Block.Fields>()

    private val Page.lines
        get() = blocks.filterIsInstance<Block.Lines>().flatMap { it.lines }

    private fun rigs(store: Slackwater) = store.show().rows().map { it.title }

    private fun newRig(store: Slackwater, name: String): Reply {
        val page = store.show("Rigs", "form" to "new")
        return store.screens().submit(page.at, "new", typed("name" to name, "template" to "housing-and-monitor"))
    }

    /** Opens the demo's rig by its row, and gives its id. */
    private fun reefRig(store: Slackwater): String {
        val page = store.show()
        store.screens().act(page.at, page.rows().first { it.title == "Reef rig" }.tap!!.action)
        return Regex("\"rig\":\"([^\"]+)").find(store.screens().page().at)!!.groupValues[1]
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
        val first = store.screens().page()
        assertTrue(first.at, "\"Start\"" in first.at)
        assertTrue(first.back)
        store.screens().back()
        val page = store.screens().page()
        assertTrue(page.rows().isEmpty())
        assertTrue(page.lines.any { it.text.isNotBlank() })
        assertFalse(page.back)
        assertTrue(store.buildId(), store.buildId().startsWith("slackwater "))
    }

    @Test
    fun s02BackAndKept() {
        val store = open(demo = true)
        val screens = store.screens()
        reefRig(store)
        val rig = screens.page()
        assertTrue(rig.back)
        val seals = rig.blocks.filterIsInstance<Block.Buttons>().flatMap { it.buttons }.first { it.label == "Seals" }
        screens.act(rig.at, seals.action)
        val kept = screens.page().kept
        screens.back()
        assertEquals(rig, screens.page())
        // A tap that comes late, from a page that is gone, does nothing.
        assertEquals(1, screens.act("elsewhere", seals.action).faults.size)
        assertEquals(rig, screens.page())
        screens.restore("nonsense")
        assertFalse(screens.page().back)
        screens.restore(kept)
        assertEquals(kept, screens.page().kept)
    }

    @Test
    fun s03NotANumber() {
        val store = open(demo = true)
        val rig = reefRig(store)
        fun journal() = store.show("Journal", "rig" to null, "before" to null)
        val before = journal()
        for (text in listOf("NaN", "inf", "-inf", "1e999", "twelve")) {
            val at = store.show("Recheck", "rig" to rig).at
            val values = typed("temperature" to text, "ambient" to "1012", "stood" to "here")
            val reply = store.screens().submit(at, "air", values)
            assertEquals(text, listOf("temperature"), reply.faults.map { it.field })
            assertTrue(reply.faults[0].text.isNotBlank())
        }
        assertEquals(before, journal())
    }

    @Test
    fun s04ADayOnDeck() {
        val store = open(demo = true)
        val screens = store.screens()
        val rig = reefRig(store)
        fun onRig() = store.show("Rig", "rig" to rig, "form" to null)
        fun mark() = onRig().answer!!.mark
        fun inTheWay() = onRig().rows("")
        fun sent(form: String, vararg values: Pair<String, String>) {
            val reply = screens.submit(screens.page().at, form, typed(*values))
            assertEquals(emptyList<Any>(), reply.faults)
        }
        fun tap(action: String) {
            assertEquals(emptyList<Any>(), screens.act(screens.page().at, action).faults)
        }

        assertNotEquals(Mark.FULL, mark())
        assertTrue(inTheWay().isNotEmpty())
        for (row in inTheWay()) assertNotNull(row.title, row.tap)

        store.show("HoldSetup", "rig" to rig, "enclosure" to "monitor")
        sent(
            "setup",
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
        var readings = 0
        fun end() =
            screens
                .page()
                .blocks
                .filterIsInstance<Block.Buttons>()
                .flatMap { it.buttons }
                .firstOrNull {
                    it.label == "End the hold with this verdict"
                }
        while (end() == null && readings < 60) {
            store.advanceClock(60_000)
            sent("reading", "gauge" to "203.4", "temperature" to "24", "ambient" to "1012")
            readings++
        }
        val end = end() ?: throw AssertionError("no verdict after $readings readings")
        assertNotNull("it asks first", end.confirm)
        tap(end.action)
        assertEquals("Record the plug in: Monitor housing", screens.page().main?.label)
        tap(screens.page().main!!.action)

        // Sooner a leak at the limit would not show.
        store.advanceClock(20 * 60_000)
        rechecked(store, rig)
        // Two have to see the plugs: the other member is asked by name, and signs.
        val plugs = inTheWay().single()
        onRig()
        tap(plugs.tap!!.action)
        repeat(2) { tap(screens.page().main!!.action) }
        assertEquals(emptyList<String>(), inTheWay().map { it.title })
        assertEquals(onRig().answer!!.text, Mark.FULL, mark())

        // What proves it; it is opened there.
        tap(onRig().rows("Enclosures").first { it.title == "Monitor housing" }.tap!!.action)
        val buttons = screens.page().blocks.filterIsInstance<Block.Buttons>().flatMap { it.buttons }
        val open = buttons.first { it.label == "Open Monitor housing" }
        assertNotNull("it asks first", open.confirm)
        tap(open.action)
        assertNotEquals(onRig().answer!!.text, Mark.FULL, mark())
        assertTrue(inTheWay().isNotEmpty())
    }

    /** Reads each gauge as it should read, and puts each plug in. */
    private fun rechecked(store: Slackwater, rig: String) {
        val screens = store.screens()
        fun recheck() = store.show("Recheck", "rig" to rig)
        fun sent(form: String, vararg values: Pair<String, String>) {
            val reply = screens.submit(screens.page().at, form, typed(*values))
            assertEquals(emptyList<Any>(), reply.faults)
        }
        val keys = recheck().forms.first().form.fields.map { it.key }
        val cameras = keys.filter { "camera" in it }.map { it to "off" }
        val temperatures = keys.filter { "temperature" in it }.map { it to "24" }
        val place = keys.filter { it == "stood" }.map { it to "here" }
        sent("air", *(temperatures + cameras + place).toTypedArray(), "ambient" to "1012")
        while (true) {
            val blocks = recheck().blocks
            val gauge = blocks.filterIsInstance<Block.Fields>().firstOrNull { it.atThumb } ?: break
            // What is foretold stands before the field.
            val foretold = blocks.take(blocks.indexOf(gauge)).filterIsInstance<Block.Figures>().last().figures.first()
            sent(gauge.form.key, "gauge" to foretold.value)
        }
        val offered = recheck().blocks.filterIsInstance<Block.Buttons>().flatMap { it.buttons }
        for (button in offered.filter { it.label != "About this page" }) {
            assertTrue(button.label, button.label.startsWith("Record the plug in"))
            recheck()
            assertEquals(emptyList<Any>(), screens.act(screens.page().at, button.action).faults)
        }
    }

    @Test
    fun s05Absent() {
        val store = open()
        val why = refused<SlackwaterException.NotFound> { store.show("Rig", "rig" to "nowhere", "form" to null) }
        assertTrue(why.reason, "nowhere" in why.reason)
        refused<SlackwaterException.NotFound> { store.screens().undo("nothing") }
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
        val paper = Document("wrong.toml", "text/plain", "this = is not\n[a procedure".toByteArray())
        val faults = store.screens().receive(paper).faults
        assertTrue("$faults", faults.isNotEmpty())
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
        assertTrue(open().show().lines.any { it.severity == Severity.BLOCKING })
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
        newRig(store, "Kept")
        val screens = store.screens()
        val photos = store.photos()
        store.shut()
        store.shut()
        val calls =
            listOf<() -> Unit>(
                { screens.page() },
                { screens.submit("x", "new", emptyList()) },
                { screens.back() },
                { screens.restore("") },
                { screens.undo("x") },
                { photos.add("x", "", byteArrayOf()) },
                { photos.addFile("x", "", "y") },
                { photos.thumbnail("x") },
                { store.words() },
                { store.setUtcOffset(0) },
                { store.advanceClock(1) },
            )
        for (call in calls) refused<SlackwaterException.Closed> { call() }
        assertEquals(listOf("Kept"), rigs(open()))
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
            assertEquals(listOf("Kept"), rigs(store))
        }
    }

    @Test
    fun s12Texts() {
        val store = open()
        val name = "שלום 🐠 مرحبا"
        newRig(store, name)
        assertEquals(name, store.screens().page().title)
        assertEquals(listOf("name"), newRig(store, "x".repeat(10_000)).faults.map { it.field })
    }

    @Test
    fun s13Threads() {
        val store = open()
        fun make(name: String) {
            // The page is everybody's: what is sent from one that is gone does nothing.
            do {
                val at = store.show().at
                val sent = typed("name" to name, "template" to "housing-and-monitor")
                val reply = store.screens().submit(at, "new", sent)
            } while (reply.faults.isNotEmpty())
        }
        List(4) { n -> thread { repeat(5) { make("Rig $n $it") } } }.forEach { it.join() }
        assertEquals((0..3).flatMap { n -> (0..4).map { "Rig $n $it" } }.toSet(), rigs(store).toSet())
    }

    @Test
    fun s14NoAction() {
        val store = open()
        val before = store.show()
        for (nonsense in listOf("", "tide", "{\"Rig\":{}}", "[".repeat(10_000))) {
            refused<SlackwaterException.BadInput> { store.screens().act(before.at, nonsense) }
        }
        assertEquals(before, store.screens().page())
    }
}
