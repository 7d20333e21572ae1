package org.slackwater.desktop

import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Row
import androidx.compose.runtime.Composable
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableIntStateOf
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.saveable.rememberSaveable
import androidx.compose.runtime.setValue
import androidx.compose.ui.Modifier
import org.slackwater.ui.design.ActionRow
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.Back
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.ChartContent
import org.slackwater.ui.design.ChartLimit
import org.slackwater.ui.design.ChartPoint
import org.slackwater.ui.design.ChartTick
import org.slackwater.ui.design.ChoiceRow
import org.slackwater.ui.design.Confirm
import org.slackwater.ui.design.Entry
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Field
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.HoldChart
import org.slackwater.ui.design.Icon
import org.slackwater.ui.design.Main
import org.slackwater.ui.design.Mark
import org.slackwater.ui.design.Measures
import org.slackwater.ui.design.NumberWithUnit
import org.slackwater.ui.design.Page
import org.slackwater.ui.design.Question
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.SmallAction
import org.slackwater.ui.design.StateMark
import org.slackwater.ui.design.StruckText
import org.slackwater.ui.design.TickRow
import org.slackwater.ui.design.Undo
import org.slackwater.ui.design.Weight
import org.slackwater.ui.design.part
import org.slackwater.ui.design.rememberConfirm
import org.slackwater.ui.design.rememberTrigger
import org.slackwater.ui.design.tells

/** Every part of the design on invented content, for looking at and for tests. */
enum class GalleryPage {
    Actions,
    Words,
    Values,
    Asking,
    Asked,
    Long,
}

@Composable
fun Gallery(page: GalleryPage) =
    when (page) {
        GalleryPage.Actions -> GalleryActions()
        GalleryPage.Words -> GalleryWords()
        GalleryPage.Values -> GalleryValues()
        GalleryPage.Asking -> GalleryAsking(asked = false)
        GalleryPage.Asked -> GalleryAsking(asked = true)
        GalleryPage.Long -> GalleryLong()
    }

@Composable
private fun GalleryActions() {
    var ticked by rememberSaveable { mutableStateOf(true) }
    var chosen by rememberSaveable { mutableIntStateOf(0) }
    Page(
        "Main housing",
        "Closing, 4 of 9",
        Back("Back to rigs") {},
        Main("Service the outer ring") {},
        undo = Undo("Latch closed.", "Undo") {},
    ) {
        part { Answer("Not ready: 3 things") }
        part {
            ActionRow("Service the outer port ring", {}, detail = "Disturbed 12 min ago", mark = Mark.Struck)
            ActionRow("Hold on the monitor housing", {}, detail = "Still 18 min to go", mark = Mark.Half)
            ActionRow("Open main housing", {}, blocks = true, icon = null)
            ActionRow("Dive", {}, unavailable = "Not ready", mark = Mark.Hollow)
            FactRow("Screws closed", detail = "Tightened crosswise, 8 min ago", mark = Mark.Full)
            FactRow("Plug", detail = "Waits for the hold", footnote = "Needs the verdict first", mark = Mark.Hatched)
        }
        part {
            TickRow("Looked at", ticked, { ticked = it })
            TickRow("Greased thinly", !ticked, { ticked = !it }, detail = "Silicone grease from the kit")
            ChoiceRow("Salt water", chosen == 0, { chosen = 0 })
            ChoiceRow("Fresh water", chosen == 1, { chosen = 1 }, detail = "Also a pool")
        }
    }
}

@Composable
private fun GalleryWords() =
    Page("Hold on main housing", "24 mm prime, dome, two rings", Back("Back to rig") {}, Main("Take a reading") {}) {
        part {
            Answer("Tight to 8 mL per dive")
            BodyText("Give or take 2 mL, at 20 m for 60 min.")
        }
        part { HoldChart(sampleChart()) }
        part {
            BodyText("Opened since the hold", weight = Weight.Blocks)
            Footnote(CAVEAT)
        }
        part { SectionTitle("Marks") }
        part {
            Row(horizontalArrangement = Arrangement.spacedBy(Measures.gap)) { for (m in Mark.entries) StateMark(m) }
        }
    }

@Composable
private fun GalleryValues() {
    var reading by rememberSaveable { mutableStateOf("-18o") }
    var note by rememberSaveable { mutableStateOf("") }
    Page(
        "Deck recheck",
        back = Back("Back to rig") {},
        main = Main("Keep reading", unavailable = "The reading is not a number yet") {},
    ) {
        part { NumberWithUnit("−183", "mbar", label = "Expected now", uncertainty = "give or take 2 mbar") }
        part {
            Field(
                "Reading on the gauge",
                reading,
                { reading = it },
                unit = "mbar",
                hint = "Below ambient, as the gauge shows it",
                error = "“-18o” is not a number. Use figures only, for example −180.",
                entry = Entry.Number,
            )
        }
        part { Field("Member", "Ana", {}) }
        part { Field("Note", note, { note = it }, entry = Entry.Note) }
        part { SmallAction("Add a photo", {}, icon = Icon.Camera) }
        part { StruckText("Reading −18 mbar, taken back by Ben 4 min ago") }
    }
}

@Composable
private fun GalleryAsking(asked: Boolean) {
    val confirm: Confirm = rememberConfirm()
    val high = rememberTrigger()
    val question =
        Question(
            "Open main housing?",
            "Its hold, its recheck, its plug and its control tests count no more.",
            "Yes, open it",
            "No, keep it closed",
        ) {}
    LaunchedEffect(asked) { if (asked) confirm.askFromMain(question) }
    Page(
        "Main housing",
        back = Back("Back to rig") {},
        main = Main("Retire rig", blocks = true) { confirm.askFromMain(question) },
        confirm = confirm,
    ) {
        part { ActionRow("Open", { confirm.ask(question, high) }, Modifier.tells(high), blocks = true) }
        for (i in 1..8) part { FactRow("Seal $i", detail = "Fitted 12 days ago", mark = Mark.Full) }
    }
}

private const val LONG =
    "The ring between the second extension ring and the port base, on the side of the camera, " +
        "which was replaced after the salt crystals were found"

@Composable
private fun GalleryLong() =
    Page(
        "Hovedkamerahusets overtrykksventilpakning",
        LONG,
        Back("Back to rig") {},
        Main("Keep the reading, and go on to the next enclosure") {},
        undo = Undo("Fifteen readings of the monitor housing were entered.", "Undo") {},
    ) {
        part { Answer("Ikke klar: Unterwasserkamerahauptgehäusedichtung") }
        part { ActionRow(LONG, {}, detail = LONG, mark = Mark.Hatched) }
        part { FactRow("هذا ملاحظة من الطاقم", detail = "نص طويل من اليمين إلى اليسار 12:40", mark = Mark.Full) }
        part { NumberWithUnit("12 345.6", "mbar·L/s", label = LONG, uncertainty = "give or take 1 234 mbar·L/s") }
    }

/** A hold of 40 minutes on a 1 mbar gauge, settling and then leaking a little. */
fun sampleChart(): ChartContent {
    val points =
        listOf(0 to 203, 5 to 199, 10 to 198, 15 to 196, 20 to 197, 25 to 196, 30 to 195, 35 to 196, 40 to 195).map {
            (x, y) ->
            ChartPoint(x.toDouble(), y.toDouble())
        }
    val fit = (0..40).map { ChartPoint(it.toDouble(), 196.2 - 0.03 * it + 6.4 * Math.exp(-it / 4.5)) }
    return ChartContent(
        0.0..45.0,
        180.0..205.0,
        points,
        fit,
        bandLow = fit.map { ChartPoint(it.x, it.y - 0.8 - it.x * 0.02) },
        bandHigh = fit.map { ChartPoint(it.x, it.y + 0.8 + it.x * 0.02) },
        limit = ChartLimit(listOf(ChartPoint(0.0, 197.0), ChartPoint(45.0, 187.0)), "limit 20 mL per dive"),
        xTicks = listOf(0, 10, 20, 30, 40).map { ChartTick(it.toDouble(), "$it") },
        yTicks = listOf(180, 190, 200).map { ChartTick(it.toDouble(), "$it") },
        xUnit = "min",
        yUnit = "mbar",
        spoken = "Depression over 40 min, 9 readings from 203 mbar to 195 mbar.",
    )
}
