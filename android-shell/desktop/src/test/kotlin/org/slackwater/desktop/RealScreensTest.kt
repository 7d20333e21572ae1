package org.slackwater.desktop

import androidx.compose.ui.geometry.Offset
import androidx.compose.ui.test.TouchInjectionScope
import androidx.compose.ui.test.assertIsDisplayed
import androidx.compose.ui.test.click
import androidx.compose.ui.test.onNodeWithContentDescription
import androidx.compose.ui.test.performTouchInput
import androidx.compose.ui.test.swipe
import java.util.concurrent.Executors
import kotlin.time.Duration
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.asCoroutineDispatcher
import kotlinx.coroutines.delay
import kotlinx.coroutines.runBlocking
import kotlinx.coroutines.withTimeout
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.slackwater.core.Block
import org.slackwater.core.PhotoMark
import org.slackwater.ui.core.AppState
import org.slackwater.ui.design.Light

/** Each screen on the real core, by what stands on it and what a tap does. */
class RealScreensTest : RealAppTest() {
    private fun rigId(name: String): String = Demo.rigNamed(core, name)

    private val page
        get() = requireNotNull(app.page) { "nothing stands there: ${app.problem}" }

    @Test
    fun anEmptyStoreSaysWhatWillStandHereAndAsksWhoHoldsThePhone() {
        start(demo = false)
        seeText("Who are you?")
        back()
        seeText("Your rigs will stand here", substring = true)
        tap("Begin: say who you are")
        // Nothing typed: the fault stands at the field.
        tap("Save and go on")
        seeText("Something must stand here")
        type("Name", "Mira")
        tap("Save and go on")
        seeText("Which gauge do you read?")
    }

    @Test
    fun aNewRigNeedsAName() {
        start()
        tap("New rig")
        assertPlace(At.rigs("new"))
        tap("Make the rig")
        seeText("Something must stand here")
        type("Name of the rig", "Night rig")
        tap("Make the rig")
        assertTrue(At.isA(app.at, "Rig"))
        seeText("Not ready", substring = true)
        back()
        assertPlace(At.rigs())
        seeText("Night rig")
    }

    @Test
    fun aDefectBlocksUntilItIsPutRight() {
        start()
        tap("Reef rig")
        tap("Note a defect")
        type("What is wrong", "Crack beside the latch 🦀 شق صغير")
        tap("Note a defect")
        seeText("Defect noted")
        seeText("Defect: Crack beside the latch 🦀 شق صغير")
        tap("Put it right")
        if (app.at == At.rig(rigId("Reef rig"))) assertTrue(page.rows("Defects").isEmpty()) else assertGoodTargets()
    }

    @Test
    fun aNoteOfTenThousandCharactersIsKeptWhole() {
        start()
        val note = "Überdruckventil ".repeat(625)
        val rig = rigId("Reef rig")
        open(At.rigs(), At.rig(rig), At.rig(rig, "defect"))
        type("What is wrong", note)
        tap("Note a defect")
        val defect = page.rows("Defects").first().title
        assertEquals(note.trim(), defect.trim())
        assertGoodTargets()
    }

    @Test
    fun absurdReadingsAreRefusedWhereTheyWereTyped() {
        start()
        val rig = rigId("Reef rig")
        open(At.rigs(), At.rig(rig), At.setup(rig, "main"))
        tap("Nothing: it is a vacuum gauge")
        for (wrong in listOf("abc", "NaN", "1e99", "-5000", "")) {
            type("The gauge reads", wrong)
            tap("Start with the valve closed")
            assertTrue("'$wrong' was taken", At.isA(app.at, "HoldSetup"))
            val form = page.forms.single()
            assertEquals("what was typed stays", wrong, app.value(form, "gauge", ""))
            val fault = app.faultOf(form, "gauge") ?: app.faultOf(form, "")
            assertTrue("'$wrong' has no fault", !fault.isNullOrEmpty())
            seeText(requireNotNull(fault))
        }
    }

    @Test
    fun openingAsksFirstAndTakesTheProofAway() {
        start()
        val rig = rigId("Reef rig")
        open(At.rigs(), At.rig(rig))
        val before = page.rows("").size
        // What proves it; it is opened there.
        tap("See what proves Monitor housing")
        tap("Open Monitor housing")
        seeText("Opening Monitor housing takes away its hold", substring = true)
        tap("No, leave it")
        tap("Open Monitor housing")
        tap("Open Monitor housing")
        val after = page.rows("")
        assertTrue("${after.map { it.title }}", after.size > before)
        seeText("Opened: Monitor housing")
        // Where there is a choice, it is asked which closure.
        tap("See what proves Main housing")
        tap("Open Main housing")
        assertPlace(At.rig(rig, "open/main"))
        seeText("Opening Main housing takes away its hold", substring = true)
        assertGoodTargets()
    }

    @Test
    fun theLensThePlanAndACopyAreForms() {
        start()
        val rig = rigId("Reef rig")
        open(At.rigs(), At.rig(rig))
        tap("Change the planned dive")
        type("Planned depth", "-3")
        tap("Change the planned dive")
        assertPlace(At.rig(rig, "plan"))
        type("Planned depth", "18")
        tap("Change the planned dive")
        assertPlace(At.rig(rig))
        seeText("Plan changed")
        tap("Copy this rig")
        assertGoodTargets()
        back()
        assertPlace(At.rig(rig))
    }

    @Test
    fun theEditorOpensKeepsAndAdds() {
        start()
        open(At.rigs(), At.edit(rigId("Pool rig")))
        tap("Main housing")
        type("Name", "Big housing")
        tap("Save")
        seeText("Big housing")
        tapDescribed("Seals: Add")
        assertGoodTargets()
        back()
        assertTrue(page.rows().isNotEmpty())
    }

    @Test
    fun theSealsSayWhichIsNextAndWhy() {
        start()
        open(At.rigs(), At.rig(rigId("Reef rig")))
        tap("Seals")
        seeText(requireNotNull(page.answer).text)
        tap(page.rows().first().title)
        seeText(requireNotNull(page.answer).text)
        assertTrue(page.rows("History").isNotEmpty())
        tap("Add a photo")
        type("Note on the photo", "Groove after cleaning")
        tap("Keep the photo")
        seeText("Groove after cleaning")
        assertGoodTargets()
        tap("Groove after cleaning")
        val photo = page.blocks.filterIsInstance<Block.LargePhoto>().single()
        rule.onNodeWithContentDescription(photo.spoken).assertIsDisplayed()
        seeText("BLAKE3", substring = true)
        assertGoodTargets()
        drawOver(photo)
        tap("Hand on without its location")
        val document = sharing.offered.single()
        assertEquals("image/jpeg", document.mediaType)
        assertTrue(document.name, document.name.endsWith(".jpg") && document.bytes.isNotEmpty())
    }

    /** An arrow by two taps, a ring by a drag, a word by its own tap; and back to the photo. */
    private fun drawOver(photo: Block.LargePhoto) {
        fun marks() = page.blocks.filterIsInstance<Block.LargePhoto>().single().marks
        fun at(x: Float, y: Float, end: Boolean, how: TouchInjectionScope.(Offset) -> Unit) {
            rule.onNodeWithContentDescription(photo.spoken).performTouchInput { how(Offset(width * x, height * y)) }
            rule.waitForIdle()
            if (end) rule.waitUntil(10_000) { !app.busy }
        }
        tap("Draw over it")
        at(0.2f, 0.2f, false) { click(it) }
        assertEquals(0, marks().size)
        at(0.6f, 0.5f, true) { click(it) }
        val arrow = marks().single() as PhotoMark.Arrow
        assertEquals(
            listOf(200, 200, 600, 500),
            listOf(arrow.fromX, arrow.fromY, arrow.toX, arrow.toY).map { it.near() },
        )
        tap("A ring around it")
        at(0.3f, 0.3f, true) { swipe(it, it + Offset(width * 0.4f, height * 0.4f)) }
        assertTrue("${marks()}", marks().last() is PhotoMark.Ring)
        tap("A word beside it")
        type("Word or two", "hair")
        tap("Then tap where it goes")
        at(0.1f, 0.9f, true) { click(it) }
        assertEquals("hair", (marks().last() as PhotoMark.Words).text)
        assertGoodTargets()
        back()
        assertEquals(3, marks().size)
    }

    /** To the nearest twentieth part: a finger is no needle. */
    private fun UShort.near() = (toInt() + 25) / 50 * 50

    @Test
    fun aSealIsServicedInFiveTapsAndBackGoesOneStep() {
        start()
        val pool = rigId("Pool rig")
        val seal = At.seal(pool, "main-port")
        open(At.rigs(), seal)
        tap("The ring is out")
        assertGoodTargets()
        // What must not go back is on record with the tap, so that asks.
        tap("A nick or cut")
        seeText("this ring must not go back in", substring = true)
        tap("No, leave it")
        tap("Nothing")
        tap("Cleaned")
        tap("Greased")
        assertGoodTargets()
        // What the box has of the size is offered with how many there are.
        seeText("3 in the box, pack bag 1, cured 2Q25")
        tap("The same ring is back in")
        assertPlace(seal)
        seeText("Seal serviced")
        tap("Undo")
        seeText("Taken back")
    }

    @Test
    fun aRingThatMustNotGoBackAsksFirstAndANewOneLeavesTheBox() {
        start()
        val pool = rigId("Pool rig")
        val place = At.service(pool, "main-port", "back/nick")
        open(At.rigs(), At.seal(pool, "main-port"), place)
        tap("The old ring went back")
        tap("No, leave it")
        assertPlace(place)
        tap("New ring: AS568-258, NBR, 70 Shore A")
        seeText("New ring fitted")
        open(At.rigs(), At.box())
        seeText("2 in the box, pack bag 1, cured 2Q25")
        tapDescribed("AS568-258, NBR, 70 Shore A: Take one out")
        seeText("One taken out")
        assertGoodTargets()
    }

    @Test
    fun theBoxRefusesWhatIsNoRing() {
        start()
        open(At.rigs(), At.box())
        tap("Put rings in the box")
        type("Size", "AS568-999")
        type("How many", "-2")
        tap("Put rings in the box")
        seeText("A whole number is wanted")
        type("How many", "2")
        tap("Put rings in the box")
        seeText("AS568 has no size", substring = true)
        type("Size", "AS568-168")
        tap("Put rings in the box")
        seeText("Put in the box")
        seeText("AS568-168, NBR")
    }

    @Test
    fun theShootSaysWhatFallsDueAndWhatToOrder() {
        start()
        val reef = rigId("Reef rig")
        open(At.rigs(), At.seals(reef))
        tap("Rings for a shoot")
        seeText(requireNotNull(page.answer).text)
        assertTrue(page.rows("Falls due").isNotEmpty())
        assertTrue(page.rows("To pack").isNotEmpty())
        assertGoodTargets()
        tap("Change the planned shoot")
        type("Days", "0")
        tap("Keep the plan")
        seeText("1 to 365 are possible")
        type("Days", "30")
        tap("Keep the plan")
        seeText("Shoot planned")
    }

    @Test
    fun aRingMeasuredGivesItsSize() {
        start()
        val pool = rigId("Pool rig")
        open(At.rigs(), At.seal(pool, "main-back"))
        tap("Find the size by measuring")
        type("Inside diameter", "152.1")
        type("Thickness of the ring", "3.5")
        tap("Find the size")
        assertGoodTargets()
        tap("AS568-258")
        seeText("Size is AS568-258")
        assertPlace(At.seal(pool, "main-back"))
    }

    @Test
    fun theJournalTurnsPagesAndAnEntryShowsItsProof() {
        start()
        tap("Journal")
        fun entries() = page.rows().map { it.title to it.footnote }
        val first = entries()
        tap("Older entries")
        assertFalse(first == entries())
        back()
        assertEquals(first, entries())
        tap(first.first().first)
        seeText("Signed by its device and unchanged since")
        assertGoodTargets()
    }

    @Test
    fun everythingGoesIntoOneFile() {
        start()
        tap("Crew")
        tap("Keep everything in a file")
        seeText("In the file", substring = true)
        // A phone has moved the file on by now, so what is in it is tried on the core alone.
        val document = sharing.offered.single()
        assertEquals("application/zip", document.mediaType)
        assertTrue("${document.file}", requireNotNull(document.file).endsWith(document.name))
        assertGoodTargets()
    }

    @Test
    fun theCrewChangesHandsUnitsAndLimits() {
        start()
        tap("Crew")
        tap("Ilse holds the phone")
        seeText("Ilse holds the phone")
        open(At.rigs(), At.crew("units"))
        tap("psi")
        tap(page.forms.single().submit)
        open(At.rigs(), At.crew("limits"))
        type("Minutes", "3")
        tap(page.forms.single().submit)
        seeText("Between 5 minutes and 24 hours")
    }

    @Test
    fun whatWasDoneIsTakenBackFromTheBar() {
        start()
        val rig = rigId("Pool rig")
        open(At.rigs(), At.rig(rig))
        fun monitor() = page.rows("Enclosures").last()
        val before = monitor().detail
        tap("Mark Monitor housing closed")
        // Its ring is not serviced: the core asks, the second tap answers.
        tap("Mark Monitor housing closed")
        assertFalse(before == monitor().detail)
        seeText("Closed: Monitor housing")
        tap("Undo")
        assertEquals(before, monitor().detail)
        seeText("Taken back")
        assertNull(app.bar?.undo)
    }

    @Test
    fun theLightIsChosenOnTheFirstScreen() {
        start()
        tap("Full sun")
        assertEquals(Light.Sun, app.light)
    }

    @Test
    fun everyScreenOfTheDemoHasGoodTargetsAtTheLargestType() {
        start()
        scale = 2f
        val places = Demo.places(core)
        for (name in listOf("hold-overnight", "hold-running", "prep-screws", "prep-controls", "recheck")) assertTrue(
            "no $name",
            name in places,
        )
        for ((name, place) in places) {
            open(At.rigs(), place)
            rule.waitForIdle()
            assertNull("$name: ${app.problem}", app.problem)
            assertEquals("$name stands there", place, At.place(app.at))
            assertGoodTargets()
        }
    }

    @Test
    fun whatIsGoneSaysSoAndLeadsBack() {
        start()
        open(At.rigs(), At.rig("no-such-rig"))
        assertNull(app.page)
        assertTrue(requireNotNull(app.problem).isNotBlank())
        rule.waitForIdle()
        seeText(requireNotNull(app.problem))
    }

    @Test
    fun theCoreIsAskedOffTheCallersThread() {
        start()
        val rig = rigId("Reef rig")
        val io = Executors.newSingleThreadExecutor { Thread(it, "core") }
        val ui = Executors.newSingleThreadExecutor { Thread(it, "ui") }
        try {
            val state =
                AppState(
                    core,
                    quietPlatform(),
                    CoroutineScope(ui.asCoroutineDispatcher()),
                    io.asCoroutineDispatcher(),
                    refreshEvery = null,
                    settle = Duration.ZERO,
                    start = At.down(At.rig(rig)),
                )
            runBlocking {
                val following = state.begin()
                withTimeout(10_000) { while (state.page == null) delay(5) }
                state.act(requireNotNull(state.page).button("Note a defect").action)
                withTimeout(10_000) { while (state.at != At.rig(rig, "defect")) delay(5) }
                following.cancel()
            }
        } finally {
            io.shutdown()
            ui.shutdown()
        }
    }
}
