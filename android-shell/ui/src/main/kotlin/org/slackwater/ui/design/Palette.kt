package org.slackwater.ui.design

import androidx.compose.runtime.Immutable
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.unit.Dp
import androidx.compose.ui.unit.dp

/** The light in which the screen is read. */
enum class Light {
    Day,
    Sun,
    Night,
}

/**
 * One ink, one paper, one accent for what can be tapped, one colour for what blocks.
 *
 * Text colours ([ink], [soft], [accent], [block]) stand at 7:1 or better on both [paper] and [raised], as do [onAccent]
 * on [accent] and [onBlock] on [block]; a test computes it. [line] and [tone] carry no text: a border, and the band of
 * a chart.
 */
@Immutable
class Palette
internal constructor(
    val paper: Color,
    val raised: Color,
    val ink: Color,
    val soft: Color,
    val line: Color,
    val tone: Color,
    val accent: Color,
    val onAccent: Color,
    val block: Color,
    val onBlock: Color,
    /** Width of borders and of the strokes of marks. */
    val stroke: Dp,
    /** Text is set one weight heavier, so that glare eats less of it. */
    val heavy: Boolean,
    /** The main action is filled; at night it is an outline, since a filled one would be the lamp in the room. */
    val filled: Boolean,
    /** Whether system bars should carry dark signs (a light paper). */
    val isLight: Boolean,
) {
    /** Width of the border of what is chosen, or of what a person must not miss. */
    val strongStroke: Dp
        get() = stroke * STRONG
}

private const val STRONG = 1.5f

private val day =
    Palette(
        paper = Color(0xFFF6F2E9),
        raised = Color(0xFFFFFDF8),
        ink = Color(0xFF17201F),
        soft = Color(0xFF414B49),
        line = Color(0xFF7C8482),
        tone = Color(0xFFD9D3C4),
        accent = Color(0xFF0B4757),
        onAccent = Color(0xFFFDFBF5),
        block = Color(0xFF86190F),
        onBlock = Color(0xFFFFFAF6),
        stroke = 2.dp,
        heavy = false,
        filled = true,
        isLight = true,
    )

/** Black on white and no greys: what the sun leaves of a screen. */
private val sun =
    Palette(
        paper = Color(0xFFFFFFFF),
        raised = Color(0xFFFFFFFF),
        ink = Color(0xFF000000),
        soft = Color(0xFF000000),
        line = Color(0xFF000000),
        tone = Color(0xFFFFE08A),
        accent = Color(0xFF00307A),
        onAccent = Color(0xFFFFFFFF),
        block = Color(0xFF8A0000),
        onBlock = Color(0xFFFFFFFF),
        stroke = 3.dp,
        heavy = true,
        filled = true,
        isLight = true,
    )

/** Dim, nothing white and nothing blue: eyes stay used to the dark. */
private val night =
    Palette(
        paper = Color(0xFF0A0503),
        raised = Color(0xFF140B06),
        ink = Color(0xFFD2A279),
        soft = Color(0xFFCB9A72),
        line = Color(0xFF85603F),
        tone = Color(0xFF2B190D),
        accent = Color(0xFFEE9A1E),
        onAccent = Color(0xFF140A02),
        block = Color(0xFFFF7C5C),
        onBlock = Color(0xFF1C0502),
        stroke = 2.dp,
        heavy = false,
        filled = false,
        isLight = false,
    )

/** The palette for a light. */
fun paletteFor(light: Light): Palette =
    when (light) {
        Light.Day -> day
        Light.Sun -> sun
        Light.Night -> night
    }
