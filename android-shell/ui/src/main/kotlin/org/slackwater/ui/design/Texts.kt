package org.slackwater.ui.design

import androidx.compose.foundation.background
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.ExperimentalLayoutApi
import androidx.compose.foundation.layout.FlowRow
import androidx.compose.foundation.layout.IntrinsicSize
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.fillMaxHeight
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.height
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.layout.width
import androidx.compose.material3.Text
import androidx.compose.runtime.Composable
import androidx.compose.ui.Modifier
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.graphics.takeOrElse
import androidx.compose.ui.semantics.clearAndSetSemantics
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.heading
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.style.TextAlign
import androidx.compose.ui.text.style.TextDecoration
import androidx.compose.ui.text.style.TextOverflow
import androidx.compose.ui.unit.dp

/** The only call of Material's Text: style, colour and wrapping come from the theme. */
@Composable
internal fun Words(
    text: String,
    style: TextStyle,
    modifier: Modifier = Modifier,
    color: Color = Color.Unspecified,
    maxLines: Int = Int.MAX_VALUE,
    decoration: TextDecoration? = null,
    align: TextAlign? = null,
) =
    Text(
        text,
        modifier,
        color = color.takeOrElse { Look.palette.ink },
        style = style,
        maxLines = maxLines,
        textDecoration = decoration,
        textAlign = align,
        overflow = TextOverflow.Ellipsis,
    )

/** What a text says beyond its words; shown by colour only as a third cue. */
enum class Weight {
    Plain,
    Blocks,
}

@Composable
fun Weight.color(): Color =
    when (this) {
        Weight.Plain -> Look.palette.ink
        Weight.Blocks -> Look.palette.block
    }

/** An answer of so many letters and more is a sentence, and set as one. */
private const val SENTENCE = 22

/** The answer to the screen's one question: the biggest thing on it. */
@Composable
fun Answer(
    text: String,
    modifier: Modifier = Modifier,
    weight: Weight = Weight.Plain,
    color: Color = weight.color(),
) =
    Words(
        text,
        if (text.length < SENTENCE) Look.type.answer else Look.type.sentence,
        modifier.semantics { heading() },
        color,
    )

/** Text that is read in order to act. */
@Composable
fun BodyText(
    text: String,
    modifier: Modifier = Modifier,
    weight: Weight = Weight.Plain,
    color: Color = weight.color(),
) = Words(text, Look.type.text, modifier, color)

/** The same size, for the name of a thing. */
@Composable
fun StrongText(text: String, modifier: Modifier = Modifier, weight: Weight = Weight.Plain) =
    Words(text, Look.type.strong, modifier, weight.color())

/** Small text that nobody needs in order to act. */
@Composable
fun Footnote(text: String, modifier: Modifier = Modifier) = Words(text, Look.type.footnote, modifier, Look.palette.soft)

/**
 * A number that is read at arm's length: the figure large, its unit smaller beside it, how sure it is on the line below
 * in words. Read aloud as one sentence.
 */
@OptIn(ExperimentalLayoutApi::class)
@Composable
fun NumberWithUnit(
    number: String,
    unit: String,
    modifier: Modifier = Modifier,
    label: String? = null,
    uncertainty: String? = null,
    weight: Weight = Weight.Plain,
    large: Boolean = false,
    spoken: String = listOfNotNull(label, "$number $unit".trim(), uncertainty).joinToString(", "),
) {
    Column(modifier.fillMaxWidth().clearAndSetSemantics { contentDescription = spoken }) {
        if (label != null) Words(label, Look.type.text, color = Look.palette.soft)
        FlowRow(horizontalArrangement = Arrangement.spacedBy(8.dp)) {
            Words(
                number,
                if (large) Look.type.figure else Look.type.answer,
                Modifier.alignByBaseline(),
                weight.color(),
            )
            if (unit.isNotEmpty()) Words(unit, Look.type.text, Modifier.alignByBaseline(), weight.color())
        }
        if (uncertainty != null) Words(uncertainty, Look.type.text, color = Look.palette.soft)
    }
}

/** A caution about people: a bar of ink at its side, so that it is not taken for a state. */
@Composable
fun Caution(text: String, modifier: Modifier = Modifier) = Barred(Look.palette.block, modifier) { BodyText(text) }

/** What stands beside a bar. */
@Composable
internal fun Barred(color: Color, modifier: Modifier = Modifier, content: @Composable () -> Unit) =
    Row(modifier.fillMaxWidth().height(IntrinsicSize.Min)) {
        Box(Modifier.width(6.dp).fillMaxHeight().background(color))
        Box(Modifier.weight(1f).padding(start = 14.dp, top = 2.dp, bottom = 2.dp)) { content() }
    }

/** A heading over a group of rows. */
@Composable
fun SectionTitle(text: String, modifier: Modifier = Modifier) =
    Words(
        text,
        Look.type.strong,
        modifier.padding(top = Measures.sectionGap, bottom = Measures.smallGap).semantics { heading() },
    )
