package org.slackwater.app

import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.test.hasScrollToIndexAction
import androidx.compose.ui.test.performSemanticsAction
import java.io.File
import kotlin.time.Duration.Companion.days
import kotlin.time.measureTime
import org.junit.Assert.assertTrue
import org.junit.Test as Measurement
import org.robolectric.Robolectric
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.rows

/** Later than the last event of any store that is measured. */
private val LATER_MS = Demo.NOW_MS + (20 * 365).days.inWholeMilliseconds

private const val STARTS = 9
private const val PAGES_BETWEEN = 100

/**
 * What the app costs on a large store, printed and judged by nobody: a computer that has other things to do is no
 * phone. `cargo xtask measure` makes the store and runs this; it is no test, so it isn't counted as one.
 */
class Measures : RealAppTest() {
    private val large = File(requireNotNull(System.getProperty("slackwater.shots"))).resolveSibling("season")

    @Measurement
    fun coldStart() {
        start()
        large.copyRecursively(phone.filesDir.resolve("season"), overwrite = true)
        scenario?.close()
        scenario = null
        // The first is thrown away: it loads the classes.
        val times = listOf("store", "season").associateWith { mutableListOf<Double>() }
        repeat(STARTS + 1) { n ->
            for ((store, taken) in times) {
                phone.onTerminate()
                val next = anotherApplication()
                next.storeName = store
                next.openedAtMs = LATER_MS
                val took = measureTime {
                    val activity = Robolectric.buildActivity(MainActivity::class.java).setup()
                    rule.waitForIdle()
                    assertTrue(app.at, At.isA(app.at, "Rigs") && texts().isNotEmpty())
                    activity.pause().stop().destroy()
                }
                if (n > 0) taken += took.inWholeMicroseconds / 1000.0
            }
        }
        val (small, big) = times.values.map { it.sorted()[it.size / 2] }
        println(
            "MEASURE cold start to the first screen laid out, median of $STARTS: demo %.0f ms, season %.0f ms, %.2f times"
                .format(small, big, big / small)
        )
        println("MEASURE each, ms: ${times.values.map { all -> all.map { it.toInt() } }}")
    }

    @Measurement
    fun leafingThroughTheJournal() {
        large.copyRecursively(phone.store, overwrite = true)
        phone.openedAtMs = LATER_MS
        start(demo = false)
        println("MEASURE leafing through the journal: pages, entries, used heap MiB, resident MiB")
        var pages = 0
        var entries = 0
        open(At.rigs(), At.journal())
        while (true) {
            val page = requireNotNull(app.page)
            val rows = page.rows()
            entries += rows.size
            if (pages % PAGES_BETWEEN == 0 || page.main == null)
                println("MEASURE %5d %7d %6.1f %6.0f".format(pages, entries, heapMiB(), residentMiB()))
            rule.onNode(hasScrollToIndexAction()).performSemanticsAction(SemanticsActions.ScrollToIndex) {
                it(rows.size - 1)
            }
            rule.waitForIdle()
            app.act((page.main ?: break).action)
            rule.waitForIdle()
            pages++
        }
        assertTrue("only $entries entries", entries >= 100_000)
    }

    private fun heapMiB(): Double {
        repeat(3) { System.gc() }
        val runtime = Runtime.getRuntime()
        return (runtime.totalMemory() - runtime.freeMemory()) / 1048576.0
    }

    /** What the process has of the computer's memory. */
    private fun residentMiB(): Double {
        val line = File("/proc/self/status").readLines().firstOrNull { it.startsWith("VmRSS:") } ?: return Double.NaN
        return line.filter { it.isDigit() }.toDouble() / 1024
    }
}
