package org.slackwater.app

import androidx.compose.ui.geometry.Rect
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.junit4.ComposeTestRule
import androidx.compose.ui.text.TextLayoutInput
import androidx.compose.ui.text.TextLayoutResult
import androidx.compose.ui.text.TextMeasurer
import androidx.compose.ui.unit.Constraints
import androidx.compose.ui.unit.toSize
import kotlin.math.abs

/** A text on the screen as the phone has laid it out. */
private class LaidOut(val node: SemanticsNode, val result: TextLayoutResult) {
    val text: String
        get() = result.layoutInput.text.text

    val field: Boolean
        get() = SemanticsActions.SetText in node.config

    /** Where all of it would stand, in pixels of the window. */
    val whole: Rect
        get() = Rect(node.positionInRoot, node.size.toSize())
}

/**
 * Problems of the texts now on the screen, in words: cut, broken within a word, or on top of each other.
 *
 * @param scrolls the window is lower than what it shows: what stands in a list may be cut off at its edge.
 */
fun ComposeTestRule.textProblems(scrolls: Boolean = false): List<String> {
    val laid =
        onAllNodes(SemanticsMatcher.keyIsDefined(SemanticsActions.GetTextLayoutResult), useUnmergedTree = true)
            .fetchSemanticsNodes()
            .filter { it.layoutInfo.isPlaced }
            .flatMap { node -> node.layouts().map { LaidOut(node, it) } }
            .filter { it.text.isNotEmpty() && (!scrolls || !it.node.isInAList()) }
    val problems = mutableListOf<String>()
    for (text in laid) {
        val said = "'${text.text.take(60)}'"
        cut(text)?.let { problems += "$said $it" }
        for (word in text.result.brokenWords()) problems += "$said breaks '$word'"
    }
    val words = laid.filter { !it.field }
    for ((i, a) in words.withIndex()) for (b in words.drop(i + 1)) {
        val common = a.node.boundsInRoot.intersect(b.node.boundsInRoot)
        if (common.width > 1 && common.height > 1) problems += "'${a.text.take(60)}' lies on '${b.text.take(60)}'"
    }
    return problems
}

private fun SemanticsNode.layouts(): List<TextLayoutResult> =
    mutableListOf<TextLayoutResult>().also { config[SemanticsActions.GetTextLayoutResult].action?.invoke(it) }

private fun SemanticsNode.isInAList(): Boolean =
    generateSequence(parent) { it.parent }.any { SemanticsActions.ScrollBy in it.config }

/**
 * How a text is cut; null where all of it can be read. It is laid out anew without a limit of lines: what the phone
 * says of its own layout differs by the kind of text.
 */
private fun cut(text: LaidOut): String? {
    val (node, result) = text.node to text.result
    val input = result.layoutInput
    val room = node.size
    val seen = node.boundsInRoot
    val needs =
        input.measure(input.text.text, if (input.softWrap) Constraints(maxWidth = room.width) else Constraints()).size
    // What is too wide for a field is wound through it.
    val height = if (text.field) result.size.height else room.height
    return when {
        needs.width > room.width + 1 || needs.height > height + 1 -> "needs $needs px and has ${room.width} x $height"
        !seen.near(text.whole) -> "is cut off: $seen of ${text.whole}"
        else -> null
    }
}

private fun TextLayoutInput.measure(words: String, constraints: Constraints) =
    TextMeasurer(fontFamilyResolver, density, layoutDirection)
        .measure(words, style, softWrap = softWrap, constraints = constraints)

private fun Rect.near(other: Rect) =
    listOf(left - other.left, top - other.top, right - other.right, bottom - other.bottom).all { abs(it) <= 1 }

/** Words that a line's end falls into although they, with what no space parts from them, fit on a line of their own. */
private fun TextLayoutResult.brokenWords(): List<String> {
    val text = layoutInput.text.text
    return (0 until lineCount - 1).mapNotNull { line ->
        val at = getLineEnd(line)
        if (at !in 1 until text.length || !text[at - 1].isOfAWord() || !text[at].isOfAWord()) return@mapNotNull null
        val before = text.take(at).takeLastWhile { !it.isWhitespace() }
        val after = text.drop(at).takeWhile { !it.isWhitespace() }
        val width = layoutInput.measure(before + after, Constraints()).size.width
        "$before|$after".takeIf { width <= layoutInput.constraints.maxWidth }
    }
}

/** Letters, figures, and the signs without a width that allow a break. */
private fun Char.isOfAWord() = isLetterOrDigit() || category == CharCategory.FORMAT
