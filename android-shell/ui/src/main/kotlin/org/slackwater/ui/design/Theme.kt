package org.slackwater.ui.design

import androidx.compose.foundation.text.selection.LocalTextSelectionColors
import androidx.compose.foundation.text.selection.TextSelectionColors
import androidx.compose.material3.ColorScheme
import androidx.compose.material3.LocalContentColor
import androidx.compose.material3.MaterialTheme
import androidx.compose.material3.darkColorScheme
import androidx.compose.material3.lightColorScheme
import androidx.compose.runtime.Composable
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.Immutable
import androidx.compose.runtime.ReadOnlyComposable
import androidx.compose.runtime.remember
import androidx.compose.runtime.staticCompositionLocalOf
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.font.FontFamily
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.style.Hyphens
import androidx.compose.ui.text.style.LineBreak
import androidx.compose.ui.text.style.LineHeightStyle
import androidx.compose.ui.text.style.TextDirection
import androidx.compose.ui.unit.Density
import androidx.compose.ui.unit.TextUnit
import androidx.compose.ui.unit.dp
import androidx.compose.ui.unit.em
import androidx.compose.ui.unit.sp

/** The three sizes of text. Each carries tabular figures and reads right-to-left text as such. */
@Immutable
class Type internal constructor(fonts: FontFamily, heavy: Boolean, answerSize: TextUnit = 34.sp) {
    private val base =
        TextStyle(
            fontFamily = fonts,
            // Figures of one width, on the line: columns of readings stand under each other.
            fontFeatureSettings = "tnum, lnum",
            textDirection = TextDirection.Content,
            lineHeightStyle = LineHeightStyle(LineHeightStyle.Alignment.Center, LineHeightStyle.Trim.None),
            // A word is broken only where it is longer than a line. Android's evened-out lines break short words too
            // once it
            // may hyphenate, so what is read in order to act is filled line by line, and what is evened out has no
            // hyphens.
            lineBreak = LineBreak.Simple,
            hyphens = Hyphens.Auto,
        )

    /** The answer to the screen's one question. */
    val answer =
        base.copy(
            fontSize = answerSize,
            lineHeight = 1.18.em,
            fontWeight = FontWeight.Bold,
            lineBreak = LineBreak.Heading,
            hyphens = Hyphens.None,
        )

    /** What is read in order to act. */
    val text =
        base.copy(
            fontSize = 19.sp,
            lineHeight = 1.32.em,
            fontWeight = if (heavy) FontWeight.SemiBold else FontWeight.Normal,
        )

    /** The same size, where it names an action or a thing. */
    val strong =
        text.copy(
            fontWeight = if (heavy) FontWeight.Bold else FontWeight.SemiBold,
            lineBreak = LineBreak.Heading,
            hyphens = Hyphens.None,
        )

    /** Never needed to act. */
    val footnote =
        base.copy(
            fontSize = 14.sp,
            lineHeight = 1.35.em,
            fontWeight = if (heavy) FontWeight.SemiBold else FontWeight.Normal,
        )
}

/** Sizes of targets and gaps. */
object Measures {
    /** Largest font scale at which two short things fit side by side. */
    const val sideBySide = 1.2f

    /** Height of the main action. */
    val mainTarget = 72.dp

    /** Least height and width of anything else that can be tapped. */
    val target = 56.dp

    /** Widest column of text; a tablet shows no longer lines. */
    val column = 640.dp
    val edge = 16.dp
    val gap = 12.dp
    val smallGap = 6.dp
    val sectionGap = 28.dp
}

private val LocalPalette = staticCompositionLocalOf<Palette> { error("outside SlackwaterTheme") }
private val LocalType = staticCompositionLocalOf<Type> { error("outside SlackwaterTheme") }
private val LocalCalm = staticCompositionLocalOf { false }

/** What the theme holds, for the parts in this package and for layouts that need a measure. */
object Look {
    val palette: Palette
        @Composable @ReadOnlyComposable get() = LocalPalette.current

    val type: Type
        @Composable @ReadOnlyComposable get() = LocalType.current

    /** The phone asks for no motion. */
    val calm: Boolean
        @Composable @ReadOnlyComposable get() = LocalCalm.current
}

/**
 * Gives everything inside the colours of [light] and the letters of [fonts].
 *
 * @param fonts weights 400, 600 and 700 are used.
 * @param calm true when the phone asks for less motion.
 */
@Composable
fun SlackwaterTheme(light: Light, fonts: FontFamily, calm: Boolean = false, content: @Composable () -> Unit) {
    val palette = paletteFor(light)
    val density = LocalDensity.current
    val type = remember(fonts, palette.heavy, density) { Type(fonts, palette.heavy, answerSize(density)) }
    MaterialTheme(colorScheme = remember(light) { palette.toMaterial() }) {
        CompositionLocalProvider(
            LocalPalette provides palette,
            LocalType provides type,
            LocalCalm provides calm,
            LocalContentColor provides palette.ink,
            LocalTextSelectionColors provides TextSelectionColors(palette.accent, palette.tone),
            content = content,
        )
    }
}

/**
 * 34 sp, but above a font scale of 1.3 it grows at less than a third of the rate: text of 19 sp needs the scale in
 * order to be read, letters of this size would only break words apart. Newer Androids scale large text less by
 * themselves; then nothing is taken away twice.
 */
private fun answerSize(density: Density): TextUnit =
    with(density) {
        val wanted = 34.dp * (if (fontScale <= 1.3f) fontScale else 1.3f + (fontScale - 1.3f) * 0.3f)
        val given = 34.sp.toDp()
        if (given > wanted) 34.sp * (wanted / given) else 34.sp
    }

/** Material's own parts (ripple, cursor, surfaces) take the same few colours. */
private fun Palette.toMaterial(): ColorScheme {
    val start = if (isLight) lightColorScheme() else darkColorScheme()
    return start.copy(
        primary = accent,
        onPrimary = onAccent,
        primaryContainer = accent,
        onPrimaryContainer = onAccent,
        secondary = accent,
        onSecondary = onAccent,
        secondaryContainer = tone,
        onSecondaryContainer = ink,
        tertiary = accent,
        onTertiary = onAccent,
        background = paper,
        onBackground = ink,
        surface = paper,
        onSurface = ink,
        surfaceVariant = raised,
        onSurfaceVariant = soft,
        surfaceTint = paper,
        surfaceContainer = raised,
        surfaceContainerHigh = raised,
        surfaceContainerHighest = raised,
        surfaceContainerLow = raised,
        surfaceContainerLowest = raised,
        error = block,
        onError = onBlock,
        errorContainer = block,
        onErrorContainer = onBlock,
        outline = line,
        outlineVariant = line,
    )
}
