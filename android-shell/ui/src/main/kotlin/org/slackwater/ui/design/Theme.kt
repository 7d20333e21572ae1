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

/**
 * The sizes of text, in two weights. Each carries figures of one width and reads right-to-left text as such.
 *
 * @param grows how much of what the phone adds to the text a size takes: the largest would only break words apart.
 */
@Immutable
class Type internal constructor(fonts: FontFamily, grows: (TextUnit, Float) -> TextUnit) {
    private val base =
        TextStyle(
            fontFamily = fonts,
            textDirection = TextDirection.Content,
            lineHeightStyle = LineHeightStyle(LineHeightStyle.Alignment.Center, LineHeightStyle.Trim.None),
            // A word is broken only where it is longer than a line. Android's evened-out lines break short words too
            // once it may hyphenate, so what is read in order to act is filled line by line, and what is evened out has
            // no hyphens.
            lineBreak = LineBreak.Simple,
            hyphens = Hyphens.Auto,
        )

    private fun heavy(size: TextUnit, line: Float, spaced: Float) =
        base.copy(
            fontSize = size,
            lineHeight = line.em,
            letterSpacing = spaced.em,
            fontWeight = FontWeight.Bold,
            lineBreak = LineBreak.Heading,
            hyphens = Hyphens.None,
        )

    /** An answer of a few words, or a number that is one. */
    val answer = heavy(grows(38.sp, ANSWER_GROWS), 1.05f, -0.022f)

    /** An answer that is a sentence. */
    val sentence = heavy(grows(31.sp, ANSWER_GROWS), 1.1f, -0.022f)

    /** The name of a rig in the list of them. */
    val lead = heavy(grows(24.sp, LEAD_GROWS), 1.17f, 0f)

    /** On the key at the thumb. */
    val key = heavy(grows(20.sp, KEY_GROWS), 1.15f, 0f)

    /** What is read in order to act. */
    val text = base.copy(fontSize = 18.sp, lineHeight = 1.28.em)

    /** The same size, where it names an action or a thing. Bold is as wide as regular here and moves no line. */
    val strong = heavy(18.sp, 1.28f, 0f)

    /** Never needed to act. */
    val footnote = base.copy(fontSize = 15.sp, lineHeight = 1.27.em)

    /** A number that is typed. */
    val typed = heavy(grows(34.sp, TYPED_GROWS), 1.18f, 0f)

    /** A number that is the answer. */
    val figure = heavy(grows(64.sp, FIGURE_GROWS), 1f, -0.03f)

    /** On a key of the pad. */
    val pad = heavy(grows(28.sp, TYPED_GROWS), 1.1f, 0f)

    private companion object {
        const val ANSWER_GROWS = 0.3f
        const val FIGURE_GROWS = 0.1f
        const val LEAD_GROWS = 0.4f
        const val KEY_GROWS = 0.87f
        const val TYPED_GROWS = 0.24f
    }
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
    val edge = 20.dp
    val gap = 12.dp
    val smallGap = 4.dp
    val sectionGap = 20.dp

    /** Least height of a row that leads somewhere. */
    val row = 64.dp
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
 * @param fonts weights 400 and 700 are used.
 * @param calm true when the phone asks for less motion.
 */
@Composable
fun SlackwaterTheme(light: Light, fonts: FontFamily, calm: Boolean = false, content: @Composable () -> Unit) {
    val palette = paletteFor(light)
    val density = LocalDensity.current
    val type = remember(fonts, density) { Type(fonts) { size, share -> grown(density, size, share) } }
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
 * A size that takes only [share] of what the phone's font scale adds. Newer Androids scale large text less by
 * themselves; then nothing is taken away twice.
 */
private fun grown(density: Density, size: TextUnit, share: Float): TextUnit =
    with(density) {
        val wanted = size.value.dp * (1f + (fontScale - 1f).coerceAtLeast(0f) * share)
        val given = size.toDp()
        if (given > wanted) size * (wanted / given) else size
    }

/** Material's own parts (ripple, cursor, surfaces) take the same few colours. */
private fun Palette.toMaterial(): ColorScheme {
    val start = if (isLight) lightColorScheme() else darkColorScheme()
    return start.copy(
        primary = key,
        onPrimary = onAccent,
        primaryContainer = key,
        onPrimaryContainer = onAccent,
        secondary = key,
        onSecondary = onAccent,
        secondaryContainer = tone,
        onSecondaryContainer = ink,
        tertiary = key,
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
        onError = paper,
        errorContainer = block,
        onErrorContainer = paper,
        outline = line,
        outlineVariant = line,
    )
}
