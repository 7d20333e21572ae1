package org.slackwater.desktop

import org.junit.Assert.assertEquals
import org.junit.Assert.assertNull
import org.junit.Test
import org.slackwater.core.Place
import org.slackwater.ui.core.moved
import org.slackwater.ui.core.readPlace
import org.slackwater.ui.core.written

class PlacesTest {
    private val every =
        Samples.places.values +
            listOf(
                Place.Rigs("new"),
                Place.Prep("p", "s", "sign"),
                Place.Journal("r", "b"),
                Place.Hold("h", "abandon"),
                Place.Crew("units"),
            )

    @Test
    fun everyPlaceComesBackAsItWasWritten() {
        assertEquals(17, every.map { it::class }.distinct().size)
        for (place in every) assertEquals(place, readPlace(place.written()))
        assertEquals(every.distinct().size, every.map { it.written() }.distinct().size)
    }

    @Test
    fun whatIsNotAPlaceIsNone() {
        assertNull(readPlace(emptyList()))
        assertNull(readPlace(listOf("tide")))
        assertNull(readPlace(listOf("rig", null, null)))
        assertNull(readPlace(listOf("seal", "r")))
    }

    private val rigs = Place.Rigs(null)
    private val rig = Place.Rig("r", null)
    private val step1 = Place.Prep("p", "1", null)
    private val step2 = Place.Prep("p", "2", null)

    @Test
    fun movingFollowsTheRules() {
        assertEquals(listOf(rigs, rig), moved(listOf(rigs), false, rig))
        assertEquals("leaving pops", listOf(rigs), moved(listOf(rigs, rig), true, null))
        assertEquals("the first place is never left", listOf(rigs), moved(listOf(rigs), true, null))
        assertEquals("leave, then go", listOf(rigs, rig), moved(listOf(rigs, Place.Rigs("new")), true, rig))
        assertEquals(
            "back where one was",
            listOf(rigs, rig),
            moved(listOf(rigs, rig, Place.Seals("r"), Place.Seal("r", "s", null)), false, rig),
        )
        assertEquals(
            "the next step takes the place of the last",
            listOf(rigs, rig, step2),
            moved(listOf(rigs, rig, step1), false, step2),
        )
        val skip = Place.Prep("p", "1", "skip")
        assertEquals("a form is pushed", listOf(rigs, step1, skip), moved(listOf(rigs, step1), false, skip))
        assertEquals(
            "and gives way to the step that follows",
            listOf(rigs, step2),
            moved(listOf(rigs, step1, skip), true, step2),
        )
        val look = Place.Service("r", "s", "look", "p", "1")
        val back = Place.Service("r", "s", "back/clean", "p", "1")
        assertEquals(
            "a service ends where the prep stands",
            listOf(rigs, step2),
            moved(listOf(rigs, step1, look, back), false, step2),
        )
        assertEquals(
            "another prep is another place",
            3,
            moved(listOf(rigs, step1), false, Place.Prep("q", "1", null)).size,
        )
    }
}
