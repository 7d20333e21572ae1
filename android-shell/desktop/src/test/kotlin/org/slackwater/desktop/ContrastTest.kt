package org.slackwater.desktop

import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.toArgb
import kotlin.math.max
import kotlin.math.min
import kotlin.math.pow
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.Palette
import org.slackwater.ui.design.paletteFor

/** Contrast by WCAG 2.2 ("relative luminance", "contrast ratio"), computed here from the colours' bytes. */
class ContrastTest {
    private fun channel(byte: Int): Double {
        val c = byte / 255.0
        return if (c <= 0.04045) c / 12.92 else ((c + 0.055) / 1.055).pow(2.4)
    }

    private fun luminance(color: Color): Double {
        val argb = color.toArgb()
        return 0.2126 * channel(argb shr 16 and 0xFF) +
            0.7152 * channel(argb shr 8 and 0xFF) +
            0.0722 * channel(argb and 0xFF)
    }

    private fun contrast(a: Color, b: Color): Double {
        val (x, y) = luminance(a) to luminance(b)
        return (max(x, y) + 0.05) / (min(x, y) + 0.05)
    }

    private fun Palette.textPairs() =
        listOf(
            "ink on paper" to (ink to paper),
            "ink on raised" to (ink to raised),
            "ink on tone" to (ink to tone),
            "soft on paper" to (soft to paper),
            "soft on raised" to (soft to raised),
            "accent on paper" to (accent to paper),
            "accent on raised" to (accent to raised),
            "block on paper" to (block to paper),
            "block on raised" to (block to raised),
            "onAccent on key" to (onAccent to key),
            "onSolid on solid" to (onSolid to solid),
        )

    @Test
    fun theFormulaGivesTheKnownEnds() {
        assertEquals(21.0, contrast(Color.Black, Color.White), 1e-9)
        assertEquals(1.0, contrast(Color.Red, Color.Red), 1e-9)
        // #767676 on white is the grey that just passes 4.5:1 in WCAG's own techniques (4.54).
        assertEquals(4.54, contrast(Color(0xFF767676), Color.White), 0.005)
    }

    @Test
    fun textStandsAtSevenToOneInEveryLight() {
        for (light in Light.entries) for ((name, pair) in paletteFor(light).textPairs()) {
            val ratio = contrast(pair.first, pair.second)
            assertTrue("$light, $name: $ratio", ratio >= 7.0)
        }
    }

    @Test
    fun bordersStandAtThreeToOne() {
        for (light in Light.entries) with(paletteFor(light)) {
            for (ground in listOf(paper, raised)) assertTrue(
                "$light: ${contrast(line, ground)}",
                contrast(line, ground) >= 3.0,
            )
            // The edge tells a solid from paper, the rim tells the key from what only looks filled.
            assertTrue("$light: ${contrast(edge, paper)}", contrast(edge, paper) >= 3.0)
            assertTrue("$light: ${contrast(rim, key)}", contrast(rim, key) >= 3.0)
        }
    }

    @Test
    fun sunIsBlackOnWhiteWithHeavierStrokes() {
        val sun = paletteFor(Light.Sun)
        assertEquals(Color.Black, sun.ink)
        assertEquals(Color.Black, sun.soft)
        assertEquals(Color.White, sun.paper)
        assertTrue(sun.stroke > paletteFor(Light.Day).stroke)
    }

    @Test
    fun nightHasNothingWhiteAndNothingBlue() =
        with(paletteFor(Light.Night)) {
            for (color in
                listOf(
                    paper,
                    raised,
                    ink,
                    soft,
                    line,
                    rule,
                    tone,
                    accent,
                    key,
                    onAccent,
                    rim,
                    block,
                    solid,
                    onSolid,
                    edge,
                )) {
                assertTrue("$color is cold", color.red >= color.green && color.green >= color.blue)
                // Few words stand on a solid and on the key: they may be brighter than what covers a page.
                val most = if (color == onAccent || color == onSolid) 0.7 else 0.45
                assertTrue("$color is bright: ${luminance(color)}", luminance(color) < most)
            }
        }
}
