package org.slackwater.desktop

import java.util.concurrent.CountDownLatch
import java.util.concurrent.Executors
import java.util.concurrent.TimeUnit
import kotlin.time.Duration
import kotlin.time.Duration.Companion.milliseconds
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.asCoroutineDispatcher
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.slackwater.core.Document
import org.slackwater.core.FieldFault
import org.slackwater.core.Form
import org.slackwater.core.Reply
import org.slackwater.core.Undo
import org.slackwater.ui.core.AirPressure
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Bar
import org.slackwater.ui.core.Barometer
import org.slackwater.ui.core.Core
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Intake
import org.slackwater.ui.core.NoBarometer
import org.slackwater.ui.core.NoIntake
import org.slackwater.ui.core.Photo
import org.slackwater.ui.core.Platform
import org.slackwater.ui.design.Light

class AppStateTest {
    private val core = SampleCore()
    private val nothing = Reply(null, null, emptyList())

    private fun state(
        start: String = "",
        photo: Photo? = null,
        settle: Duration = Duration.ZERO,
    ) =
        AppState(
                core,
                quietPlatform(photo = photo),
                CoroutineScope(Dispatchers.Unconfined),
                Dispatchers.Unconfined,
                null,
                settle,
                start,
            )
            .apply { begin() }

    private val AppState.form: Form
        get() = requireNotNull(page).forms.first()

    @Test
    fun anActionThatGoesShowsTheNextPageAndBackReturns() {
        val state = state()
        core.leads = "not-ready"
        state.act("open")
        assertEquals("not-ready", state.at)
        assertEquals("rigs" to "open", core.acted.single())
        assertTrue(state.canGoBack)
        state.back()
        assertEquals("rigs", state.at)
        assertFalse(state.canGoBack)
        state.back()
        assertEquals("rigs", state.at)
    }

    @Test
    fun theSecondHalfOfADoubleTapDoesNothing() {
        val state = state("rigs/ticks", settle = 80.milliseconds)
        state.act("done")
        assertEquals("a page that just came up", 0, core.acted.size)
        Thread.sleep(100)
        core.step = "2"
        state.act("done")
        state.act("done")
        assertEquals("the next step is not done by a drop", 1, core.acted.size)
        Thread.sleep(100)
        state.act("cleaned")
        state.act("greased")
        assertEquals("on one and the same step taps follow each other freely", 3, core.acted.size)
    }

    @Test
    fun faultsStandAtTheFieldAndKeepWhatWasTyped() {
        val state = state("rigs/fields")
        val form = state.form
        state.type(form, "name", "  ")
        core.answer =
            nothing.copy(
                faults =
                    listOf(
                        FieldFault("name", "Give a name."),
                        FieldFault("", "Nothing was kept."),
                        FieldFault("gone", "Lost."),
                    ),
                barStays = true,
            )
        state.submit(form)
        assertEquals("Give a name.", state.faultOf(form, "name"))
        assertEquals("a fault of no field stands at the form", "Nothing was kept. Lost.", state.faultOf(form, ""))
        assertNull(state.faultOf(form, "role"))
        assertNull("another form is not blamed", state.faultOf(form.copy(key = "limits"), "name"))
        assertEquals("  ", state.value(form, "name", ""))
        assertEquals("fields", state.at)

        state.type(form, "name", "Ana")
        core.answer = nothing.copy(said = "Ana is in the crew")
        core.leads = "not-ready"
        state.submit(form)
        assertEquals("Ana", core.submitted.last().second.first { it.key == "name" }.value)
        assertEquals("not-ready", state.at)
        state.go("fields")
        assertEquals("what was sent is forgotten", "", state.value(form, "name", ""))
        assertNull(state.faultOf(form, "name"))
    }

    @Test
    fun theBarStaysUntilTheNextActionAndUndoes() {
        val state = state()
        core.answer = nothing.copy(said = "Plug refitted", undo = Undo("Undo: plug refitted", "t1"))
        state.act("a")
        assertEquals(Bar("Plug refitted", Undo("Undo: plug refitted", "t1")), state.bar)
        core.answer = nothing.copy(barStays = true)
        state.act("b")
        assertNotNull("going elsewhere is no action", state.bar)
        core.answer = nothing.copy(said = "Taken back")
        state.undo()
        assertEquals(listOf("t1"), core.undone)
        assertEquals(Bar("Taken back", null), state.bar)
        core.answer = nothing
        state.act("c")
        assertNull(state.bar)
    }

    @Test
    fun aProblemIsSaidAndNothingIsLost() {
        val state = state("rigs/fields", photo = Photo.Bytes(byteArrayOf(1)))
        val form = state.form
        state.type(form, "name", "Ana")
        core.failing = "The storage is full. Free some space, then try again."
        state.submit(form)
        assertEquals(core.failing, state.problem)
        assertEquals("Ana", state.value(form, "name", ""))
        state.takePhoto("step/1")
        state.keepPhoto("dome")
        assertNotNull("the photo waits until the core has it", state.pendingPhoto)
        core.failing = null
        state.keepPhoto("dome")
        assertNull(state.pendingPhoto)
        assertEquals(listOf("step/1" to "dome"), core.photos)
        assertNull(state.problem)
    }

    @Test
    fun whatCannotBeShownIsSaidAndTriedAgain() {
        core.failing = "This rig is not on this phone."
        val state = state("rigs/not-ready")
        assertNull(state.page)
        assertEquals("This rig is not on this phone.", state.problem)
        assertTrue("and one can leave it", state.canGoBack)
        core.failing = null
        core.restore("rigs/not-ready")
        state.again()
        assertEquals("not-ready", state.at)
        assertNull(state.problem)
    }

    @Test
    fun pagesAndTypedTextOutliveTheProcess() {
        val before = state("rigs/fields")
        before.type(before.form, "name", "An")
        val kept = before.kept()
        core.restore("")
        val after =
            AppState(core, quietPlatform(), CoroutineScope(Dispatchers.Unconfined), Dispatchers.Unconfined, null)
        after.restore(kept)
        after.begin()
        assertEquals("fields", after.at)
        assertEquals("An", after.value(after.form, "name", ""))
    }

    @Test
    fun theLightIsRemembered() {
        val file =
            java.io.File.createTempFile("slackwater", ".properties").apply {
                delete()
                deleteOnExit()
            }
        assertEquals(Light.Day, FileSettings(file).light)
        FileSettings(file).light = Light.Night
        assertEquals(Light.Night, FileSettings(file).light)
    }

    private fun with(intake: Intake = NoIntake, barometer: Barometer = NoBarometer): AppState {
        val quiet = quietPlatform()
        val platform =
            Platform(quiet.pictures, quiet.camera, quiet.settings, quiet.alarm, quiet.sharing, barometer, intake)
        return AppState(
                core,
                platform,
                CoroutineScope(Dispatchers.Unconfined),
                Dispatchers.Unconfined,
                null,
                Duration.ZERO,
            )
            .apply { begin() }
    }

    private class Gives(val document: Document?) : Intake {
        override fun take(taken: (Result<Document?>) -> Unit) = taken(Result.success(document))
    }

    @Test
    fun whatTheBarometerSaysGoesToTheCoreBeforeEachScreen() {
        var says: AirPressure? = AirPressure(101_280.0, 100.0)
        val state =
            with(
                barometer =
                    object : Barometer {
                        override fun now() = says
                    }
            )
        assertEquals(listOf(AirPressure(101_280.0, 100.0)), core.offered)
        says = null
        state.again()
        assertEquals("a barometer that is silent offers nothing", 1, core.offered.size)
    }

    @Test
    fun aFileThatIsAskedForGoesToTheCoreAndItsFaultsAreSaid() {
        val file = Document("night.csv", "text/csv", byteArrayOf(1))
        val state = with(intake = Gives(file))
        core.answer = nothing.copy(bring = "hold-log")
        core.broughtAnswer = nothing.copy(faults = listOf(FieldFault("", "Line 1: not a log")))
        state.act("bring")
        assertEquals(listOf("hold-log" to file), core.brought)
        assertEquals("Line 1: not a log", state.problem)
        val none = with(intake = Gives(null))
        none.act("bring")
        assertEquals("nothing chosen, nothing sent", 1, core.brought.size)
    }

    @Test
    fun aFileThatCantBeReadIsSaid() {
        val state =
            with(
                intake =
                    object : Intake {
                        override fun take(taken: (Result<Document?>) -> Unit) = throw CoreProblem("No such file")
                    }
            )
        core.answer = nothing.copy(bring = "hold-log")
        state.act("bring")
        assertEquals("No such file", state.problem)
    }

    @Test
    fun aFileThatIsHandedInWaitsForTheCallUnderWayAndIsNotLost() {
        val file = Document("all.zip", "application/zip", byteArrayOf(1))
        val state = with()
        core.broughtAnswer = nothing.copy(said = "Brought in")
        core.leads = "not-ready"
        state.receive(Result.success(file))
        assertEquals(listOf(file), core.received)
        assertEquals("not-ready", state.at)
        core.broughtAnswer = nothing.copy(faults = listOf(FieldFault("", "all.zip is empty")))
        state.receive(Result.success(file))
        assertEquals("all.zip is empty", state.problem)
        state.receive(Result.failure(CoreProblem("gone")))
        assertEquals(state.words.fileUnreadable, state.problem)
        assertEquals(2, core.received.size)
    }

    /** Seen: a large file stopped the screen without a word, and could not be given up. */
    @Test
    fun aFileThatComesInSaysHowFarItIsAndCanBeGivenUp() {
        val given = CountDownLatch(1)
        val slow =
            object : Core by core {
                override fun receive(document: Document): Reply {
                    assertTrue(given.await(20, TimeUnit.SECONDS))
                    return nothing.copy(faults = listOf(FieldFault("", "Given up")))
                }

                override fun bringing() = "Coming in: 40 %"

                override fun giveUp() = given.countDown()
            }
        Executors.newSingleThreadExecutor().asCoroutineDispatcher().use { io ->
            val scope = CoroutineScope(Dispatchers.Unconfined)
            val state = AppState(slow, quietPlatform(), scope, io, null, Duration.ZERO)
            state.receive(Result.success(Document("all.zip", "application/zip", byteArrayOf(1))))
            wait { state.bringing == "Coming in: 40 %" }
            state.giveUp()
            wait { !state.busy && state.bringing == null }
            assertEquals("Given up", state.problem)
        }
    }

    private fun wait(until: () -> Boolean) {
        val end = System.nanoTime() + TimeUnit.SECONDS.toNanos(20)
        while (!until()) {
            assertTrue("in time", System.nanoTime() < end)
            Thread.sleep(10)
        }
    }

    @Test
    fun aPhotoThatWaitsForItsNoteOutlivesTheProcess() {
        val photo = Photo.File("photo.jpg")
        val before = state(photo = photo)
        before.takePhoto("rig/1")
        before.photoNote = "Groove af"
        val after = state().apply { restore(before.kept()) }
        assertEquals(photo, after.pendingPhoto?.photo)
        assertEquals("Groove af", after.photoNote)
        after.keepPhoto()
        assertEquals(listOf("rig/1" to "Groove af"), core.photos)
        assertNull(after.pendingPhoto)
    }

    @Test
    fun aPhotoThatCantBeReadIsSaid() {
        val quiet = quietPlatform()
        val broken =
            object : org.slackwater.ui.core.Camera by quiet.camera {
                override fun pick(picked: (Result<Photo?>) -> Unit) = picked(Result.failure(CoreProblem("revoked")))
            }
        val state =
            AppState(
                    core,
                    quiet.copy(camera = broken),
                    CoroutineScope(Dispatchers.Unconfined),
                    Dispatchers.Unconfined,
                    null,
                    Duration.ZERO,
                )
                .apply { begin() }
        state.pickPhoto("rig/1")
        assertEquals(state.words.fileUnreadable, state.problem)
        assertNull(state.pendingPhoto)
    }
}
