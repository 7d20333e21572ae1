package org.slackwater.app

import android.os.Bundle
import java.io.File
import java.util.concurrent.TimeUnit
import kotlin.io.path.createTempDirectory
import kotlin.time.Duration.Companion.hours
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.Robolectric
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.forms

/** Where the first process has left what the second finds; not set in the first. */
private const val LEFT = "slackwater.left"

private const val PATIENCE_MIN = 5L

/**
 * A Java of its own takes up what this one has left: a file of the store, and the bytes of a parcel. So nothing leans
 * on what a class or the core's library remembers while a process lives.
 */
class FreshProcessTest : RealAppTest() {
    @Test
    fun whatOneProcessLeftAnotherTakesUp() {
        val left = System.getProperty(LEFT)
        if (left == null) leaveToAnother() else takeUp(File(left))
    }

    private fun leaveToAnother() {
        start()
        val places = Demo.places(core)
        scenario?.close()
        scenario = null
        val activity = Robolectric.buildActivity(MainActivity::class.java).setup()
        val rig = At.partOf(places.getValue("rig-dry"), "rig")
        open(At.rigs(), places.getValue("hold-running"))
        type("The gauge reads", "201.8")
        app.go(At.rig(rig, "defect"))
        type("What is wrong", "Crack beside the la")
        val folder = createTempDirectory("slackwater-left").toFile()
        try {
            folder.resolve("places").writeText(app.kept().places)
            val kept = Bundle()
            activity.pause().stop().saveInstanceState(kept).destroy()
            folder.resolve("parcel").writeBytes(kept.marshalled())
            phone.onTerminate()
            phone.store.copyRecursively(folder.resolve("store"))
            val said = another(folder)
            assertTrue(said, "OK (1 test)" in said)
        } finally {
            folder.deleteRecursively()
        }
    }

    /** What the runner of this same test says in a Java of its own. */
    private fun another(folder: File): String {
        val passedOn =
            System.getProperties()
                .stringPropertyNames()
                .filter { name -> listOf("robolectric.", "jna.", "slackwater.").any { name.startsWith(it) } }
                .map { "-D$it=${System.getProperty(it)}" }
        val command =
            listOf(File(System.getProperty("java.home"), "bin/java").path, "-Xmx1g") +
                listOf("--add-opens=java.base/java.io=ALL-UNNAMED", "--enable-native-access=ALL-UNNAMED") +
                passedOn +
                listOf("-D$LEFT=${folder.path}", "org.junit.runner.JUnitCore", javaClass.name)
        val told = folder.resolve("told")
        val process =
            ProcessBuilder(command)
                .apply { environment()["CLASSPATH"] = System.getProperty("java.class.path") }
                .redirectErrorStream(true)
                .redirectOutput(told)
                .start()
        if (!process.waitFor(PATIENCE_MIN, TimeUnit.MINUTES)) process.destroyForcibly().waitFor()
        return told.readText()
    }

    private fun takeUp(folder: File) {
        folder.resolve("store").copyRecursively(phone.store, overwrite = true)
        // Later than the demo has moved its clock: no run begins before the last one's end.
        phone.openedAtMs = Demo.NOW_MS + 1.hours.inWholeMilliseconds
        val kept = unmarshalled(folder.resolve("parcel").readBytes())
        val activity = Robolectric.buildActivity(MainActivity::class.java).setup(kept)
        rule.waitForIdle()
        assertEquals(folder.resolve("places").readText(), app.kept().places)
        seeText("Crack beside the la")
        back()
        val hold = requireNotNull(app.page)
        assertTrue("the hold still runs", requireNotNull(hold.watch).running)
        assertEquals("201.8", app.value(hold.forms.single(), "gauge", ""))
        type("Temperature", "24.0")
        type("Barometer now", "1012")
        tap("Add the reading")
        assertEquals(requireNotNull(hold.watch).readings + 1u, app.page?.watch?.readings)
        activity.pause().stop().destroy()
    }
}
