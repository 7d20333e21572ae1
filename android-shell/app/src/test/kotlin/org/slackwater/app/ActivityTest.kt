package org.slackwater.app

import org.junit.Assert.assertTrue
import org.junit.Test
import org.slackwater.desktop.At
import org.slackwater.desktop.RealAppTest

/** What Android does to an activity: back, turning, ending and bringing back. */
class ActivityTest : RealAppTest() {
    @Test
    fun theBackGestureLeavesOnePlaceAndAtLastTheApp() {
        start()
        tap("Crew")
        assertTrue(At.isA(app.at, "Crew"))
        scenario!!.onActivity { it.onBackPressedDispatcher.onBackPressed() }
        rule.waitForIdle()
        assertPlace(At.rigs())
        scenario!!.onActivity {
            it.onBackPressedDispatcher.onBackPressed()
            assertTrue("back at the first place leaves the app", it.isFinishing)
        }
    }
}
