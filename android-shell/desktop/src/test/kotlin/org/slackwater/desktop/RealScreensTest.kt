package org.slackwater.desktop

import androidx.compose.ui.test.assertIsDisplayed
import androidx.compose.ui.test.onNodeWithContentDescription
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
import org.slackwater.core.Action
import org.slackwater.core.Place
import org.slackwater.core.RigAction
import org.slackwater.core.RigsAction
import org.slackwater.core.Screen
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.own
import org.slackwater.ui.design.Light

/** Each screen on the real core, by what stands on it and what a tap does. */
class RealScreensTest : RealAppTest() {
    private fun rigId(name: String): String {
        val rows = (core.show(Place.Rigs(null)) as Screen.Rigs).screen.rigs
        return (rows.first { it.title == name }.tap?.action?.own as RigsAction.OpenRig).rig
    }

    @Test
    fun anEmptyStoreSaysWhatWillStandHereAndAsksWhoHoldsThePhone() {
        start(demo = false)
        seeText("Your rigs will stand here", substring = true)
        tap("Say who holds the phone")
        // Nothing typed: the fault stands at the field.
        tap("Add a crew member")
        seeText("Something must stand here")
        type("Name", "Mira")
        tap("Add a crew member")
        seeText("Mira", substring = true)
    }

    @Test
    fun aNewRigNeedsAName() {
        start()
        tap("New rig")
        assertPlace(Place.Rigs("new"))
        tap("Make the rig")
        seeText("Something must stand here")
        type("Name of the rig", "Night rig")
        tap("Make the rig")
        assertTrue(app.place is Place.Rig)
        seeText("Not ready", substring = true)
        back()
        assertPlace(Place.Rigs(null))
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
        tap("Put right")
        if (app.place == Place.Rig(rigId("Reef rig"), null))
            assertTrue((app.screen as Screen.Rig).screen.defects.isEmpty())
        else assertGoodTargets()
    }

    @Test
    fun aNoteOfTenThousandCharactersIsKeptWhole() {
        start()
        val note = "Überdruckventil ".repeat(625)
        val rig = rigId("Reef rig")
        open(Place.Rigs(null), Place.Rig(rig, null), Place.Rig(rig, "defect"))
        type("What is wrong", note)
        tap("Note a defect")
        val defect = (app.screen as Screen.Rig).screen.defects.first().title
        assertEquals(note.trim(), defect.trim())
        assertGoodTargets()
    }

    @Test
    fun absurdReadingsAreRefusedWhereTheyWereTyped() {
        start()
        val rig = rigId("Reef rig")
        open(Place.Rigs(null), Place.Rig(rig, null), Place.HoldSetup(rig, "main"))
        tap("Nothing: it is a vacuum gauge")
        for (wrong in listOf("abc", "NaN", "1e99", "-5000", "")) {
            type("The gauge reads", wrong)
            tap("Valve is closed: start")
            assertTrue("'$wrong' was taken", app.place is Place.HoldSetup)
            val form = (app.screen as Screen.HoldSetup).screen.form
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
        open(Place.Rigs(null), Place.Rig(rig, null))
        tap("Open Monitor housing")
        seeText("Opening Monitor housing takes away its hold", substring = true)
        tap("No, leave it")
        val before = (app.screen as Screen.Rig).screen
        tap("Open Monitor housing")
        tap("Open Monitor housing")
        val after = (app.screen as Screen.Rig).screen
        assertTrue("${after.obstacles.map { it.title }}", after.obstacles.size > before.obstacles.size)
        seeText("Opened: Monitor housing")
        // Where there is a choice, it is asked which closure.
        tap("Open Main housing")
        assertPlace(Place.Rig(rig, "open/main"))
        seeText("Opening Main housing takes away its hold", substring = true)
        assertGoodTargets()
    }

    @Test
    fun theLensThePlanAndACopyAreForms() {
        start()
        val rig = rigId("Reef rig")
        open(Place.Rigs(null), Place.Rig(rig, null))
        tap("Change the planned dive")
        type("Planned depth", "-3")
        tap("Change the planned dive")
        assertPlace(Place.Rig(rig, "plan"))
        type("Planned depth", "18")
        tap("Change the planned dive")
        assertPlace(Place.Rig(rig, null))
        seeText("Plan changed")
        tap("Copy this rig")
        assertGoodTargets()
        back()
        assertPlace(Place.Rig(rig, null))
    }

    @Test
    fun theEditorOpensKeepsAndAdds() {
        start()
        open(Place.Rigs(null), Place.RigEdit(rigId("Pool rig"), null))
        tap("Main housing")
        type("Name", "Big housing")
        tap("Keep the change")
        seeText("Big housing")
        tapDescribed("Seals: Add")
        assertGoodTargets()
        back()
        assertTrue((app.screen as Screen.RigEdit).screen.sections.isNotEmpty())
    }

    @Test
    fun theSealsSayWhichIsNextAndWhy() {
        start()
        open(Place.Rigs(null), Place.Rig(rigId("Reef rig"), null))
        tap("Seals")
        val seals = (app.screen as Screen.Seals).screen
        seeText(seals.answer)
        tap(seals.seals.first().title)
        val seal = (app.screen as Screen.Seal).screen
        seeText(seal.answer)
        assertTrue(seal.history.isNotEmpty())
        tap("Add a photo")
        type("Note on the photo", "Groove after cleaning")
        tap("Keep the photo")
        seeText("Groove after cleaning")
        assertGoodTargets()
        tap("Groove after cleaning")
        val photo = (app.screen as Screen.Photo).screen
        rule.onNodeWithContentDescription(photo.spoken).assertIsDisplayed()
        seeText("BLAKE3", substring = true)
        assertGoodTargets()
        tap("Hand on without its location")
        val document = sharing.offered.single()
        assertEquals("image/jpeg", document.mediaType)
        assertTrue(document.name, document.name.endsWith(".jpg") && document.bytes.isNotEmpty())
    }

    @Test
    fun aSealIsServicedInFiveTapsAndBackGoesOneStep() {
        start()
        val pool = rigId("Pool rig")
        val seal = Place.Seal(pool, "main-port", null)
        open(Place.Rigs(null), seal)
        tap("The ring is out")
        assertGoodTargets()
        tap("A nick or cut")
        seeText("A nick or cut: this ring must not go back")
        back()
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
        val place = Place.Service(pool, "main-port", "back/nick", null, null)
        open(Place.Rigs(null), Place.Seal(pool, "main-port", null), place)
        tap("The old ring went back")
        tap("No, leave it")
        assertPlace(place)
        tap("New ring: AS568-258, NBR, 70 Shore A")
        seeText("New ring fitted")
        open(Place.Rigs(null), Place.RingBox(null))
        seeText("2 in the box, pack bag 1, cured 2Q25")
        tapDescribed("AS568-258, NBR, 70 Shore A: Take one out")
        seeText("One taken out")
        assertGoodTargets()
    }

    @Test
    fun theBoxRefusesWhatIsNoRing() {
        start()
        open(Place.Rigs(null), Place.RingBox(null))
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
        open(Place.Rigs(null), Place.Seals(reef))
        tap("Rings for a shoot")
        val spares = (app.screen as Screen.Spares).screen
        seeText(spares.answer)
        assertTrue(spares.due.isNotEmpty())
        assertTrue(spares.spares.isNotEmpty())
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
        open(Place.Rigs(null), Place.Seal(pool, "main-back", null))
        tap("Find the size by measuring")
        type("Inside diameter", "152.1")
        type("Thickness of the ring", "3.5")
        tap("Find the size")
        assertGoodTargets()
        tap("AS568-258")
        seeText("Size is AS568-258")
        assertPlace(Place.Seal(pool, "main-back", null))
    }

    @Test
    fun theJournalTurnsPagesAndAnEntryShowsItsProof() {
        start()
        tap("Journal")
        val first = (app.screen as Screen.Journal).screen.entries.map { it.title to it.footnote }
        tap("Older entries")
        assertFalse(first == (app.screen as Screen.Journal).screen.entries.map { it.title to it.footnote })
        back()
        assertEquals(first, (app.screen as Screen.Journal).screen.entries.map { it.title to it.footnote })
        tap((app.screen as Screen.Journal).screen.entries.first().title)
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
        open(Place.Rigs(null), Place.Crew("units"))
        tap("psi")
        tap((app.screen as Screen.Crew).screen.form!!.submit)
        open(Place.Rigs(null), Place.Crew("limits"))
        type("Minutes", "3")
        tap((app.screen as Screen.Crew).screen.form!!.submit)
        seeText("Between 5 minutes and 24 hours")
    }

    @Test
    fun whatWasDoneIsTakenBackFromTheBar() {
        start()
        val rig = rigId("Pool rig")
        open(Place.Rigs(null), Place.Rig(rig, null))
        fun monitor() = (app.screen as Screen.Rig).screen.enclosures.last()
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
            open(Place.Rigs(null), place)
            rule.waitForIdle()
            assertNull("$name: ${app.problem}", app.problem)
            assertGoodTargets()
        }
    }

    @Test
    fun whatIsGoneSaysSoAndLeadsBack() {
        start()
        open(Place.Rigs(null), Place.Rig("no-such-rig", null))
        assertNull(app.screen)
        assertTrue(requireNotNull(app.problem).isNotBlank())
        rule.waitForIdle()
        seeText(requireNotNull(app.problem))
    }

    @Test
    fun theCoreIsAskedOffTheCallersThreadAndChangesShowByThemselves() {
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
                    start = listOf(Place.Rigs(null), Place.Rig(rig, null)),
                )
            runBlocking {
                val following = state.begin()
                withTimeout(10_000) { while (state.screen == null) delay(5) }
                // Somebody else's change, from another thread.
                core.act(Place.Rig(rig, null), Action.Rig(RigAction.OpenClosure("main", null)))
                withTimeout(10_000) {
                    while ((state.screen as Screen.Rig).screen.enclosures.first().detail.startsWith("Tight")) delay(5)
                }
                following.cancel()
            }
        } finally {
            io.shutdown()
            ui.shutdown()
        }
    }
}
