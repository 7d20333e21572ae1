package org.slackwater.app

import android.os.Bundle
import android.view.View
import android.view.accessibility.AccessibilityManager
import android.view.accessibility.AccessibilityNodeInfo
import android.view.accessibility.AccessibilityNodeProvider
import androidx.activity.compose.setContent
import androidx.compose.foundation.layout.Column
import androidx.compose.material3.Text
import androidx.compose.ui.Modifier
import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.platform.ViewRootForTest
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.semantics.isTraversalGroup
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.semantics.traversalIndex
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.hasScrollToIndexAction
import androidx.compose.ui.test.hasText
import androidx.compose.ui.test.onRoot
import androidx.core.view.accessibility.AccessibilityNodeInfoCompat
import androidx.core.view.accessibility.AccessibilityNodeInfoCompat.CHECKED_STATE_FALSE
import androidx.core.view.accessibility.AccessibilityNodeInfoCompat.CHECKED_STATE_TRUE
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.util.ReflectionHelpers
import org.robolectric.util.ReflectionHelpers.ClassParameter
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest

/** By this key the screen's own tree says which node comes after one. */
private const val NEXT = "android.view.accessibility.extra.EXTRA_DATA_TEST_TRAVERSALBEFORE_VAL"

/** As wide as a phone, and so tall that nothing scrolls. */
private const val WHOLE = "w412dp-h20000dp-420dpi"

/** The kinds that TalkBack names after the words, so that one knows what a double tap will do. */
private val kinds = setOf("Button", "CheckBox", "RadioButton", "EditText")

/** What Android's own tree of the screen tells a screen reader, and in which order. */
class SpokenOrderTest : RealAppTest() {
    /** One stop of a screen reader: what it says there, what it takes it for, and where it is. */
    private class Stop(val says: String, val kind: String?, val info: AccessibilityNodeInfoCompat, val bounds: Rect) {
        override fun toString() = "'${says.take(60)}' ($kind)"
    }

    /** All stops on the screen, in the order in which a screen reader goes from one to the next. */
    private fun stops(): List<Stop> {
        val root = rule.onRoot().fetchSemanticsNode().root as ViewRootForTest
        root.forceAccessibilityForTesting(true)
        rule.waitForIdle()
        val placed =
            rule.onAllNodes(SemanticsMatcher("any") { true }).fetchSemanticsNodes().filter { it.layoutInfo.isPlaced }
        val nodes = placed.associateBy { it.id }
        val tree = root.view.accessibilityNodeProvider
        val infos = nodes.mapValues { (_, node) -> tree.createAccessibilityNodeInfo(node.virtualId) }
        val next = infos.mapNotNull { (id, info) ->
            if (info == null) return@mapNotNull null
            tree.addExtraDataToAccessibilityNodeInfo(nodes.getValue(id).virtualId, info, NEXT, Bundle())
            info.extras.getInt(NEXT, -1).takeIf { it >= 0 }?.let { id to it }
        }
        val follower = next.toMap()
        val first = follower.keys - follower.values.toSet()
        val chain = generateSequence(first.single()) { follower[it] }.toList()
        val stops = chain.mapNotNull { id -> stop(nodes.getValue(id), infos[id], tree) }
        // Whatever says something is reached.
        val all = nodes.values.mapNotNull { stop(it, infos[it.id], tree) }
        assertEquals(all.map { it.toString() }.sorted(), stops.map { it.toString() }.sorted())
        return stops
    }

    private val SemanticsNode.virtualId: Int
        get() = if (isRoot) View.NO_ID else id

    /** Null where a screen reader does not stop. */
    private fun stop(node: SemanticsNode, info: AccessibilityNodeInfo?, tree: AccessibilityNodeProvider): Stop? {
        if (info == null || !AccessibilityNodeInfoCompat.wrap(info).isScreenReaderFocusable) return null
        val within = listOf(info) + info.within(tree)
        val kind = within.map { it.className.toString().substringAfterLast('.') }.firstOrNull { it in kinds }
        return Stop(info.said(tree), kind, AccessibilityNodeInfoCompat.wrap(info), node.boundsInRoot)
    }

    /** What is said at a stop: its own words, then those of what inside it is no stop itself. */
    private fun AccessibilityNodeInfo.said(tree: AccessibilityNodeProvider): String {
        val own = (contentDescription ?: text)?.toString().orEmpty()
        val more = if (contentDescription.isNullOrBlank()) within(tree).map { it.said(tree) } else emptyList()
        return (listOf(own) + more).filter { it.isNotBlank() }.joinToString(", ")
    }

    /** Children that are no stops. Compose keeps the name and the kind of a whole in children that nothing shows. */
    private fun AccessibilityNodeInfo.within(tree: AccessibilityNodeProvider): List<AccessibilityNodeInfo> =
        (0 until childCount)
            .map {
                ReflectionHelpers.callInstanceMethod<Long>(this, "getChildId", ClassParameter.from(Int::class.java, it))
            }
            .mapNotNull { tree.createAccessibilityNodeInfo((it ushr Int.SIZE_BITS).toInt()) }
            .filter { !AccessibilityNodeInfoCompat.wrap(it).isScreenReaderFocusable }

    /** Opens the app while a screen reader is at work. */
    private fun startSpoken(demo: Boolean = true) {
        val manager = phone.getSystemService(AccessibilityManager::class.java)
        shadowOf(manager).setEnabled(true)
        start(demo)
    }

    private fun everywhere(look: (String) -> Unit) {
        startSpoken()
        val places = Demo.places(core)
        RuntimeEnvironment.setQualifiers(WHOLE)
        for (s in listOf(1f, 2f)) {
            scale = s
            for ((name, place) in places) {
                open(*setOf(At.rigs(), place).toTypedArray())
                assertNull("$name: ${app.problem}", app.problem)
                look("$name at $s")
            }
        }
    }

    @Test
    fun everyScreenIsReadFromWhereOneIsThroughTheAnswerToTheActionAtTheThumb() = everywhere { name ->
        val stops = stops()
        val list = rule.onNode(hasScrollToIndexAction()).fetchSemanticsNode().boundsInRoot
        val wrong = disorder(stops)
        assertTrue("$name: ${wrong.joinToString()}", wrong.isEmpty())
        val top = stops.takeWhile { it.bounds.bottom <= list.top + 1 }
        val dock = stops.takeLastWhile { it.bounds.top >= list.bottom - 1 }
        assertTrue("$name begins with ${stops.first()}", top.isNotEmpty())
        if (app.canGoBack) {
            val back = dock.filter { it.kind == "Button" && it.says == app.words.back }
            assertEquals("$name: Back stands once, beside the key: $dock", 1, back.size)
        }
        val where = top.first { it.kind == null }
        assertTrue("$name: where one is, is no heading: $where", where.info.isHeading)
        val between = stops.size - top.size - dock.size
        assertTrue("$name: $between stops between ${top.size} and ${dock.size}", between > 0)
        val inList = stops.drop(top.size).take(between)
        assertTrue("$name: ${inList.filter { !list.overlaps(it.bounds) }}", inList.all { list.overlaps(it.bounds) })
        // The field that is typed into now may stand above its pad.
        val there = dock.filter { it.info.isClickable && it.kind != "Button" }
        assertTrue("$name: ${dock.map { it.kind }}", there.size <= 1 && there.all { it.info.isEditable })
    }

    @Test
    fun whateverActsHasAnameAndAKind() = everywhere { name ->
        val wrong = stops().filter { it.info.isClickable && (it.says.isBlank() || it.kind == null) }
        assertTrue("$name: ${wrong.joinToString()}", wrong.isEmpty())
    }

    @Test
    fun whatCannotBeDoneIsSaidWithItsReason() {
        startSpoken()
        open(At.rigs(), Demo.places(core).getValue("prep-parts"))
        val main = stops().last()
        assertFalse("$main can be tapped", main.info.isEnabled || main.info.isClickable)
        assertTrue("$main", main.says.startsWith("Done, ") && "still to be confirmed" in main.says)
    }

    @Test
    fun whatIsTickedOrChosenIsSaid() {
        startSpoken()
        val places = Demo.places(core)
        open(At.rigs(), places.getValue("prep-parts"))
        fun box() = stops().first { it.kind == "CheckBox" }
        val before = box()
        assertEquals(CHECKED_STATE_FALSE, before.info.checked)
        tap(before.says)
        assertEquals(CHECKED_STATE_TRUE, box().info.checked)
        open(At.rigs(), places.getValue("rig-defect"))
        val where = stops().filter { it.kind == "RadioButton" }
        assertEquals(
            listOf("The rig as a whole"),
            where.filter { it.info.checked == CHECKED_STATE_TRUE }.map { it.says },
        )
        assertTrue("$where", where.size > 2)
    }

    @Test
    fun whatIsWrongWithAFieldIsSaidAtOnceAndAtTheField() {
        startSpoken()
        open(At.rigs(), Demo.places(core).getValue("rig-plan"))
        type("Planned depth", "-3")
        tap("Change the planned dive")
        see(hasText("-3"))
        val stops = stops()
        val field = stops.first { it.kind == "EditText" }
        assertTrue("$field: ${field.info.error}", !field.info.error.isNullOrBlank() && field.info.isContentInvalid)
        val sentence = stops.first { it.kind == null && field.info.error.toString() in it.says }
        assertEquals(View.ACCESSIBILITY_LIVE_REGION_POLITE, sentence.info.liveRegion)
    }

    @Test
    fun aScreenReadOutOfOrderIsFound() {
        startSpoken(demo = false)
        scenario?.onActivity {
            it.setContent {
                Column(Modifier.semantics { isTraversalGroup = true }) {
                    Text("Above", Modifier.semantics { traversalIndex = 1f })
                    Text("Below")
                }
            }
        }
        assertEquals(listOf("'Above' (null) after 'Below' (null)"), disorder(stops()))
    }

    /** The stops that are read after what stands beneath them, or to the right of them. */
    private fun disorder(stops: List<Stop>): List<String> =
        stops.zipWithNext().filter { (a, b) -> !follows(a.bounds, b.bounds) }.map { (a, b) -> "$b after $a" }

    private fun follows(a: Rect, b: Rect): Boolean {
        val lower = b.top >= a.bottom - 1
        val beside = b.left >= a.right - 1 && b.bottom > a.top
        return lower || beside || (a.contains(b.center))
    }
}
