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
 * One ink, one paper, one accent for what can be tapped, one colour for what blocks, and a solid for what is proved.
 *
 * Text colours ([ink], [soft], [accent], [block]) stand at 7:1 or better on both [paper] and [raised], as do [onAccent]
 * on [key] and [onSolid] on [solid]; a test computes it. [line], [rule], [rim], [edge] and [tone] carry no text.
 */
@Immutable
class Palette
internal constructor(
    val paper: Color,
    /** The ground of what is typed or chosen. */
    val raised: Color,
    val ink: Color,
    /** Footnotes. */
    val soft: Color,
    /** The border of a field. */
    val line: Color,
    /** Between rows; decoration only. */
    val rule: Color,
    /** The band of a chart. */
    val tone: Color,
    /** What can be tapped. */
    val accent: Color,
    /** The fill of the one key at the thumb, the word on it, and the rim within its edge. */
    val key: Color,
    val onAccent: Color,
    val rim: Color,
    val block: Color,
    /** What is proved: its fill, the words on it, and its edge, which at night is all that tells it from paper. */
    val solid: Color,
    val onSolid: Color,
    val edge: Color,
    /** Width of the border of a field, and of the strokes of marks. */
    val stroke: Dp,
    /** Width of the frame of what is chosen. */
    val strongStroke: Dp,
    /** Between rows. */
    val thin: Dp,
    /** Whether system bars should carry dark signs (a light paper). */
    val isLight: Boolean,
)

private val day =
    Palette(
        paper = Color(0xFFF1EFE6),
        raised = Color(0xFFFCFBF6),
        ink = Color(0xFF14201F),
        soft = Color(0xFF414C49),
        line = Color(0xFF6B7671),
        rule = Color(0xFFC6C3B5),
        tone = Color(0xFFDAD6C7),
        accent = Color(0xFF0A485A),
        key = Color(0xFF0A485A),
        onAccent = Color(0xFFFFFFFF),
        rim = Color(0xFF6FA0AC),
        block = Color(0xFF86190F),
        solid = Color(0xFF14201F),
        onSolid = Color(0xFFF7F5EE),
        edge = Color(0xFF14201F),
        stroke = 2.dp,
        strongStroke = 4.5.dp,
        thin = 1.dp,
        isLight = true,
    )

/** Black on white and no greys: what the sun leaves of a screen. */
private val sun =
    Palette(
        paper = Color.White,
        raised = Color.White,
        ink = Color.Black,
        soft = Color.Black,
        line = Color.Black,
        rule = Color.Black,
        tone = Color.White,
        accent = Color.Black,
        key = Color.Black,
        onAccent = Color.White,
        rim = Color.White,
        block = Color.Black,
        solid = Color.Black,
        onSolid = Color.White,
        edge = Color.Black,
        stroke = 3.dp,
        strongStroke = 6.dp,
        thin = 1.5.dp,
        isLight = true,
    )

/** Dim, nothing white and nothing blue: eyes stay used to the dark. */
private val night =
    Palette(
        paper = Color(0xFF080402),
        raised = Color(0xFF150B05),
        ink = Color(0xFFCF9F70),
        soft = Color(0xFFC09365),
        line = Color(0xFF85603A),
        rule = Color(0xFF3A2614),
        tone = Color(0xFF2B1A0C),
        accent = Color(0xFFE9A54C),
        key = Color(0xFF47290B),
        onAccent = Color(0xFFF6C98A),
        rim = Color(0xFFAC7A34),
        block = Color(0xFFF08A70),
        solid = Color(0xFF55350F),
        onSolid = Color(0xFFF4CD9A),
        edge = Color(0xFFCF9F70),
        stroke = 2.dp,
        strongStroke = 4.5.dp,
        thin = 1.dp,
        isLight = false,
    )

/** The palette for a light. */
fun paletteFor(light: Light): Palette =
    when (light) {
        Light.Day -> day
        Light.Sun -> sun
        Light.Night -> night
    }
