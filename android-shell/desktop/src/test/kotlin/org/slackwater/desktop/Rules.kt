package org.slackwater.desktop

import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.semantics.Role
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.semantics.getOrNull
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.hasClickAction
import androidx.compose.ui.test.junit4.ComposeTestRule
import androidx.compose.ui.unit.dp
import org.junit.Assert.assertTrue

/** A node that a finger or a screen reader can act on. */
val acts: SemanticsMatcher = hasClickAction()

/** What a screen reader says for a node: its description, or else its texts. */
fun SemanticsNode.spoken(): String {
    val said = config.getOrNull(SemanticsProperties.ContentDescription).orEmpty()
    return said.ifEmpty { config.getOrNull(SemanticsProperties.Text).orEmpty().map { it.text } }.joinToString(", ")
}

/** Problems of the targets now on the screen, in words: too small, without a name, on top of each other. */
fun ComposeTestRule.targetProblems(): List<String> {
    val least = with(density) { 56.dp.toPx() } - 0.5f
    val nodes = onAllNodes(acts).fetchSemanticsNodes()
    val problems = mutableListOf<String>()
    for (node in nodes) {
        // The size as laid out: what a scrolling list has cut off at its edge still has its height.
        val (width, height) = node.size.width to node.size.height
        if (width < least || height < least) problems += "'${node.spoken()}' is ${width}x$height px, least $least"
        if (node.spoken().isBlank()) problems += "a target without a name: ${node.config}"
        val field = SemanticsActions.SetText in node.config
        val role = node.config.getOrNull(SemanticsProperties.Role)
        if (!field && role !in setOf(Role.Button, Role.Checkbox, Role.RadioButton))
            problems += "'${node.spoken()}' has no role"
    }
    val seen = nodes.filter { it.boundsInRoot != Rect.Zero }
    for ((i, a) in seen.withIndex()) for (b in seen.drop(i + 1)) {
        val common = a.boundsInRoot.intersect(b.boundsInRoot)
        if (common.width > 1 && common.height > 1) problems += "'${a.spoken()}' lies on '${b.spoken()}'"
    }
    return problems
}

/** Fails with every problem of the targets on the screen; there must be some targets. */
fun ComposeTestRule.assertTargets(atLeast: Int = 1) {
    val count = onAllNodes(acts).fetchSemanticsNodes().size
    assertTrue("only $count targets", count >= atLeast)
    val problems = targetProblems()
    assertTrue(problems.joinToString("\n"), problems.isEmpty())
}
