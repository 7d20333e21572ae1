package org.slackwater.desktop

import org.slackwater.core.*
import org.slackwater.core.Action
import org.slackwater.core.Button
import org.slackwater.core.Mark as M
import org.slackwater.core.Row

internal const val CAVEAT =
    "A vacuum proves the seals at a fraction of an atmosphere from the other side. " + "It can't prove them at depth."

/**
 * Invented records of every screen, with the longest texts and with none: the layout is tried on them without a core.
 * What the screens say for real comes from the core alone.
 */
object Samples {
    private const val LONG_NAME = "Main housing of the second unit with the long extension for the wide dome"
    private const val LONG_NOTE =
        "The ring between the second extension ring and the port base, on the side of the camera, " +
            "was replaced after salt crystals were found in its groove; the groove was rinsed, dried and looked at with a lamp"

    private fun line(text: String, severity: Severity = Severity.PLAIN, mark: M? = null) = Line(text, severity, mark)

    private fun number(label: String, value: String, unit: String, sure: String? = null) =
        Quantity(label, value, unit, sure, listOfNotNull(label, "$value $unit", sure).joinToString(", "))

    private fun field(
        key: String,
        label: String,
        kind: FieldKind = FieldKind.TEXT,
        value: String = "",
        unit: String? = null,
        hint: String? = null,
        choices: List<Pair<String, String>> = emptyList(),
    ) = Field(key, label, unit, value, hint, kind, choices.map { FieldChoice(it.first, it.second) }, true)

    private const val RIG = "rig-1"

    private fun rigsTap(label: String, action: RigsAction) = Button(label, Action.Rigs(action), true, null, null)

    private fun rigTap(label: String, action: RigAction, confirm: String? = null, whyNot: String? = null) =
        Button(label, Action.Rig(action), whyNot == null, whyNot, confirm)

    private fun prepTap(label: String, action: PrepAction, whyNot: String? = null) =
        Button(label, Action.Prep(action), whyNot == null, whyNot, null)

    private fun holdTap(label: String, action: HoldAction, confirm: String? = null) =
        Button(label, Action.Hold(action), true, null, confirm)

    private fun sealTap(label: String, action: SealsAction, confirm: String? = null) =
        Button(label, Action.Seals(action), true, null, confirm)

    private val defectForm =
        Form(
            "defect",
            "What is wrong?",
            listOf(
                field("what", "What was found", FieldKind.LONG_TEXT, LONG_NOTE),
                field(
                    "where",
                    "Where",
                    FieldKind.CHOICE,
                    choices = listOf("main" to "Main housing", "monitor" to "Monitor housing"),
                ),
                field(
                    "blocks",
                    "It stands in the way of a dive",
                    FieldKind.SWITCH,
                    "yes",
                    hint = "The rig is not ready until it is put right",
                ),
            ),
            "Keep the defect",
        )

    private val readingForm =
        Form(
            "reading",
            "",
            listOf(
                field("gauge", "Gauge reads", FieldKind.NUMBER, unit = "mbar", hint = "Below ambient, as it stands"),
                field("temperature", "Air in the shade", FieldKind.NUMBER, "24.5", "°C"),
            ),
            "Add the reading",
        )

    private val airForm =
        Form(
            "air",
            "Air on deck now",
            listOf(
                field("temperature", "Temperature", FieldKind.NUMBER, "21", "°C", "In the shade, beside the housing"),
                field("barometer", "Barometer", FieldKind.NUMBER, "1009", "mbar"),
            ),
            "Use this air",
        )

    private fun rigs(full: Boolean) =
        Screen.Rigs(
            RigsScreen(
                "Rigs",
                "Assistant: Noor",
                if (full)
                    listOf(
                        line(
                            "The clock was set back by 1 day since the last entry. New entries keep their order.",
                            Severity.NOTICE,
                            M.HATCHED,
                        )
                    )
                else emptyList(),
                if (!full) emptyList()
                else
                    listOf(
                        Row(
                            "Main rig, 24 mm prime",
                            "Ready until 14:20",
                            "Held overnight, rechecked 8 min ago",
                            M.FULL,
                            Severity.GOOD,
                            rigsTap("", RigsAction.OpenRig(RIG)),
                            null,
                        ),
                        Row(
                            LONG_NAME,
                            "Not ready: 3 things",
                            null,
                            M.STRUCK,
                            Severity.BLOCKING,
                            rigsTap("", RigsAction.OpenRig("rig-2")),
                            null,
                        ),
                    ),
                if (full)
                    listOf(
                        Row(
                            "Old housing",
                            "Retired 3 weeks ago",
                            null,
                            M.HOLLOW,
                            Severity.PLAIN,
                            rigsTap("", RigsAction.OpenRig(RIG)),
                            null,
                        )
                    )
                else emptyList(),
                if (full) null else line("Your rigs will stand here, each with the answer whether it may go in."),
                null,
                rigsTap("New rig", RigsAction.NewRig),
                listOf(
                    rigsTap("Journal of everything", RigsAction.OpenJournal),
                    rigsTap("Crew, limits and units", RigsAction.OpenCrew),
                ),
            )
        )

    private fun rigScreen(ready: Boolean, form: String?) =
        Screen.Rig(
            RigScreen(
                RIG,
                if (ready) "Main rig, 24 mm prime" else LONG_NAME,
                if (ready) "Ready until 14:20" else "Not ready: 3 things",
                if (ready) M.FULL else M.STRUCK,
                if (ready) Severity.GOOD else Severity.BLOCKING,
                if (ready) "Both enclosures held, rechecked 8 min ago." else "Main housing was opened 12 min ago.",
                if (ready) emptyList()
                else
                    listOf(
                        Row(
                            "Outer port ring",
                            "Disturbed by the opening of the port 12 min ago",
                            null,
                            M.STRUCK,
                            Severity.BLOCKING,
                            rigTap("Service it", RigAction.OpenSeals("port-outer")),
                            null,
                        ),
                        Row(
                            "Main housing",
                            "No hold since it was closed",
                            null,
                            M.HOLLOW,
                            Severity.BLOCKING,
                            rigTap("Start a hold", RigAction.Hold("main")),
                            null,
                        ),
                        Row(
                            "Record trigger",
                            "Not tested since the closing",
                            null,
                            M.HOLLOW,
                            Severity.BLOCKING,
                            rigTap("Test the controls", RigAction.ShowControls),
                            null,
                        ),
                    ),
                listOf(line("Inner port ring is due in 3 days of diving", Severity.NOTICE, M.HATCHED)),
                listOf(
                    Row(
                        "Main housing",
                        if (ready) "Tight to 3 mL per dive, plug on" else "Open since 12 min",
                        "Held overnight, 9 h 40 min",
                        if (ready) M.FULL else M.HOLLOW,
                        Severity.PLAIN,
                        if (ready)
                            rigTap(
                                "Open it",
                                RigAction.OpenClosure("main", null),
                                "Open Main housing? Its hold, its recheck, its plug " +
                                    "and its control tests count no more.",
                            )
                        else rigTap("It is closed again", RigAction.CloseEnclosure("main")),
                        null,
                    ),
                    Row(
                        "Monitor housing",
                        "Tight to 1 mL per dive, plug on",
                        null,
                        M.FULL,
                        Severity.PLAIN,
                        null,
                        null,
                    ),
                ),
                if (ready) emptyList()
                else
                    listOf(
                        Row(
                            "Scratch on the dome",
                            "Seen by Ana 2 days ago; does not stand in the way",
                            null,
                            M.HATCHED,
                            Severity.NOTICE,
                            rigTap("Put right", RigAction.CloseDefect("d1")),
                            null,
                        )
                    ),
                listOf(
                    Row(
                        "Full prep",
                        "Stopped at Closing, 4 of 9, 12 min ago",
                        null,
                        M.HALF,
                        Severity.PLAIN,
                        rigTap("Go on", RigAction.ResumePrep("prep-1")),
                        null,
                    ),
                    Row(
                        "Flood response",
                        "If a leak shows under water or water is found",
                        null,
                        null,
                        Severity.PLAIN,
                        rigTap("Start", RigAction.StartPrep("flood")),
                        null,
                    ),
                ),
                if (form == "controls")
                    (1..9).map {
                        Row(
                            "Control $it: focus",
                            if (it < 4) "Works, 5 min ago" else "Not tested",
                            null,
                            if (it < 4) M.FULL else M.HOLLOW,
                            Severity.PLAIN,
                            rigTap("It does what it should", RigAction.ControlTested("c$it", true)),
                            rigTap("It does not", RigAction.ControlTested("c$it", false)),
                        )
                    }
                else emptyList(),
                listOf(number("Planned depth", "20", "m"), number("Planned time", "60", "min")),
                emptyList(),
                "rig-1/rig",
                if (form == "defect") defectForm else null,
                if (ready) rigTap("Log the dive", RigAction.ShowForm("dive"))
                else rigTap("Service the outer port ring", RigAction.OpenSeals("port-outer")),
                listOf(
                    rigTap(
                        "Deck recheck",
                        RigAction.OpenRecheck,
                        whyNot = if (ready) null else "Nothing is proved yet",
                    ),
                    rigTap("Seals", RigAction.OpenSeals(null)),
                    rigTap("A defect was found", RigAction.ShowForm("defect")),
                    rigTap("Retire the rig", RigAction.Retire(true), "Retire this rig? It stays in the journal."),
                ),
                CAVEAT,
            )
        )

    private fun prep(step: String?, form: String?) =
        Screen.Prep(
            PrepScreen(
                "prep-1",
                step ?: "screws",
                "Main rig, 24 mm prime",
                "Full prep",
                "Closing, 4 of 9",
                "You stopped here 12 min ago; two steps were ticked since.",
                if (step == "seal") "Service the outer port ring" else "Tighten the screws of the back plate crosswise",
                if (step == "seal") "Every part is confirmed by the one who did it."
                else "Three passes: snug, half, full. The gap is even all round.",
                "The housing is heavy: two people lift it.",
                line("Waits for: camera in", Severity.NOTICE, M.HATCHED),
                M.HOLLOW,
                if (step == "seal")
                    listOf(
                            "out" to "Taken out",
                            "looked" to "Looked at: no cuts, no flat places",
                            "cleaned" to "Cleaned, and its groove",
                            "greased" to "Greased thinly",
                            "back" to "Put back, not twisted",
                        )
                        .mapIndexed { i, (k, t) ->
                            Row(
                                t,
                                "",
                                null,
                                if (i < 2) M.FULL else M.HOLLOW,
                                Severity.PLAIN,
                                prepTap(t, PrepAction.Tick("seal", k, i >= 2)),
                                null,
                            )
                        }
                else emptyList(),
                if (step == "seal") null
                else
                    FastenerDrawing(
                        DrawingShape.CIRCLE,
                        listOf(1 to 1, 5 to 2, 3 to 3, 7 to 4, 2 to 5, 6 to 6, 4 to 7, 8 to 8).map { (n, turn) ->
                            val a = (n - 1) * Math.PI / 4
                            FastenerDot(
                                turn.toUInt(),
                                (0.5 + 0.5 * Math.sin(a)).toFloat(),
                                (0.5 - 0.5 * Math.cos(a)).toFloat(),
                            )
                        },
                        "Follow the numbers on the drawing, from 1 to 8. Three passes.",
                    ),
                if (form == "skip")
                    Form(
                        "skip",
                        "Why is this step skipped?",
                        listOf(field("reason", "Reason", FieldKind.LONG_TEXT)),
                        "Skip the step",
                    )
                else null,
                emptyList(),
                "step/prep-1/screws",
                if (step == "seal") prepTap("Done", PrepAction.Done("seal"), "3 parts are not confirmed")
                else prepTap("All tight", PrepAction.Done("screws")),
                listOf(
                    prepTap("Skip this step", PrepAction.ShowForm("skip")),
                    prepTap("Hand over to another", PrepAction.ShowForm("hand-over")),
                    prepTap("All steps", PrepAction.ShowSteps),
                ),
                if (form == "steps")
                    (1..9).map {
                        Row(
                            "Step $it of the closing",
                            if (it < 4) "Done by Noor 20 min ago" else "Waits",
                            null,
                            if (it < 4) M.FULL else M.HOLLOW,
                            Severity.PLAIN,
                            prepTap("", PrepAction.GoTo("s$it")),
                            null,
                        )
                    }
                else emptyList(),
                false,
            )
        )

    private fun hold(running: Boolean, form: String?): Screen.Hold {
        val chart = sampleChart()
        val fit =
            chart.fit.indices.map { i ->
                val x = chart.fit[i].x
                ChartFit(x, chart.fit[i].y, chart.bandLow[i].y, chart.bandHigh[i].y, 197.0 - x * 10.0 / 45.0)
            }
        return Screen.Hold(
            HoldScreen(
                "hold-1",
                RIG,
                "Main housing",
                if (running) "Not yet: if it is tight, 7 min to 30 min more" else "Tight to 8 mL per dive",
                if (running) M.HALF else M.FULL,
                if (running) Severity.PLAIN else Severity.GOOD,
                listOf(
                    line("Air warmed by 0.4 K since the valve was closed; that alone is 1.1 mbar."),
                    line("Could not have seen less than 5 mL per dive."),
                ),
                listOf(
                    number("Leak", "8", "mL per dive", "give or take 2 mL"),
                    number("Limit", "20", "mL per dive"),
                    number("Depression now", "195", "mbar", "give or take 1 mbar"),
                ),
                if (running) "Next reading in 2 min" else null,
                if (running) 120 else null,
                HoldChart(
                    chart.points.mapIndexed { i, p -> ChartPoint(p.x, p.y, i == 4) },
                    fit,
                    0.0,
                    45.0,
                    180.0,
                    205.0,
                    chart.xTicks.map { ChartTick(it.at, it.text) },
                    chart.yTicks.map { ChartTick(it.at, it.text) },
                    "min",
                    "mbar",
                    "limit 20 mL per dive",
                    chart.spoken,
                ),
                (9 downTo 1).map {
                    Row(
                        "${190 + it} mbar",
                        "24.5 °C, 1013 mbar",
                        "Noor, 13:${10 + it}",
                        null,
                        Severity.PLAIN,
                        if (running)
                            holdTap("Set aside", HoldAction.SetAside("r$it"), "Set this reading aside as mistyped?")
                        else null,
                        null,
                    )
                },
                if (form == "abandon")
                    Form(
                        "abandon",
                        "Why is the hold given up?",
                        listOf(field("reason", "Reason", FieldKind.LONG_TEXT)),
                        "Give up the hold",
                    )
                else if (running) readingForm else null,
                emptyList(),
                "hold/hold-1",
                if (running) null else holdTap("The plug is on", HoldAction.PlugOn),
                if (running)
                    listOf(
                        holdTap("End with the verdict as it stands", HoldAction.Conclude),
                        holdTap("Give up the hold", HoldAction.ShowForm("abandon")),
                    )
                else listOf(holdTap("Back to the rig", HoldAction.OpenRig)),
                running,
                CAVEAT,
                "For who wants to know more",
                listOf(
                    number("Leak rate, at most", "2.1·10⁻³", "mbar·L/s"),
                    number("Leak rate, at most", "0.12", "sccm (0 °C)"),
                    number("As one round hole, at most", "34", "µm"),
                ),
                phone =
                    if (running)
                        listOf(
                            line(
                                "This phone's battery is at 12 % and not being charged. The hold goes on without it; " +
                                    "its readings and its calls do not.",
                                Severity.NOTICE,
                                M.HATCHED,
                            )
                        )
                    else emptyList(),
            )
        )
    }

    private fun recheck(air: Boolean) =
        Screen.Recheck(
            RecheckScreen(
                RIG,
                "Main rig, 24 mm prime",
                if (air) "1 of 2 read" else "First the air on deck",
                M.HALF,
                Severity.PLAIN,
                airForm,
                listOf(
                    RecheckItem(
                        "main",
                        "Main housing",
                        if (air) "Read the gauge" else "Waits for the air on deck",
                        M.HOLLOW,
                        Severity.PLAIN,
                        if (air) number("Expected now", "187", "mbar", "give or take 2 mbar") else null,
                        number("At the hold", "195", "mbar"),
                        if (air) listOf(line("Air is 3.5 K colder: 9 mbar less.")) else emptyList(),
                        if (air)
                            Form(
                                "reading/main",
                                "",
                                listOf(field("gauge", "Gauge reads", FieldKind.NUMBER, unit = "mbar")),
                                "Keep the reading",
                            )
                        else null,
                        null,
                    ),
                    RecheckItem(
                        "monitor",
                        "Monitor housing",
                        if (air) "Lower vacuum than the weather explains" else "Waits for the air on deck",
                        if (air) M.STRUCK else M.HOLLOW,
                        if (air) Severity.BLOCKING else Severity.PLAIN,
                        if (air) number("Expected now", "191", "mbar", "give or take 2 mbar") else null,
                        number("At the hold", "198", "mbar"),
                        emptyList(),
                        null,
                        if (air)
                            Button("Start a new hold", Action.Recheck(RecheckAction.Hold("monitor")), true, null, null)
                        else null,
                    ),
                ),
                "A recheck can't see what only depth would press open.",
                null,
            )
        )

    private fun seals(full: Boolean) =
        Screen.Seals(
            SealsScreen(
                RIG,
                "Main rig, 24 mm prime",
                if (full) "Inner port ring: 2 openings left of 30" else "No seals yet",
                if (full) M.HATCHED else M.HOLLOW,
                Severity.NOTICE,
                if (full)
                    listOf(
                            "Inner port ring" to "2 openings left of 30",
                            "Outer port ring" to "Disturbed 12 min ago",
                            LONG_NAME to LONG_NOTE,
                        )
                        .mapIndexed { i, (t, d) ->
                            Row(
                                t,
                                d,
                                "Nitrile, 70 Shore A, 3.53 mm",
                                M.entries[i + 1],
                                Severity.PLAIN,
                                sealTap("", SealsAction.OpenSeal("s$i")),
                                null,
                            )
                        }
                else emptyList(),
                if (full) null
                else line("The seals of the enclosures will stand here, the next due first. Add them in the editor."),
                if (full) sealTap("Service the inner port ring", SealsAction.OpenSeal("s0")) else null,
                listOf(
                    sealTap("Rings for a shoot", SealsAction.OpenSpares),
                    sealTap("The box of rings", SealsAction.OpenBox),
                ),
            )
        )

    private fun seal(form: String?) =
        Screen.Seal(
            SealScreen(
                RIG,
                "s0",
                "Inner port ring",
                "Disturbed by an opening 8 min ago",
                M.STRUCK,
                Severity.BLOCKING,
                listOf(
                    line("Take the ring out without a sharp tool, then go on"),
                    line(
                        "Silicone grease and VMQ (silicone) do not go together: the ring swells or softens",
                        Severity.NOTICE,
                        M.HATCHED,
                    ),
                    line(
                        "Squeeze 13.9 % with the worst tolerances: the published least is 16.0 %",
                        Severity.NOTICE,
                        M.HATCHED,
                    ),
                ),
                listOf(
                    number("Size", "227.97 × 3.53", "mm"),
                    number("Openings since fitted", "28", "of 30"),
                    number("Squeeze", "21.4", "%", "from 13.9 % to 28.3 % by the tolerances"),
                ),
                if (form == "sizes/227.9/3.5/mm")
                    listOf(
                            "AS568-271" to "234.54 x 3.53 mm. Off by 0.12 mm inside, 0.03 mm in thickness",
                            "230 x 3.55 mm" to
                                "In the series of ISO 3601-1. Unlikely: off by 2.10 mm inside, 0.05 mm in thickness",
                        )
                        .map { (t, d) ->
                            Row(
                                t,
                                d,
                                null,
                                M.FULL,
                                Severity.PLAIN,
                                sealTap("Its size is $t", SealsAction.SetSize(t)),
                                null,
                            )
                        }
                else emptyList(),
                if (form == "measure")
                    Form(
                        "measure",
                        "Measure the ring",
                        listOf(
                            field("inside", "Inside diameter", FieldKind.NUMBER),
                            field("section", "Thickness of the ring", FieldKind.NUMBER),
                            field(
                                "unit",
                                "Measured in",
                                FieldKind.CHOICE,
                                "mm",
                                choices = listOf("mm" to "Millimetres", "inch" to "Inches"),
                            ),
                        ),
                        "Find the size",
                    )
                else null,
                listOf(
                    Row(
                        "Fitted new",
                        "Nitrile, from the spare bag",
                        "Ana, 12 March, 09:40",
                        M.FULL,
                        Severity.PLAIN,
                        null,
                        null,
                    )
                ),
                listOf(PhotoTile("aa", null, "The photo's file is missing", "Noor, 12 March", true)),
                "seal/s0",
                sealTap("The ring is out", SealsAction.Service),
                listOf(
                    sealTap("Find the size by measuring", SealsAction.ShowForm("measure")),
                    sealTap(
                        "The port was opened",
                        SealsAction.OpenClosure,
                        "Record that the port was opened? The hold counts no more.",
                    ),
                ),
            )
        )

    private fun serviceTap(label: String, action: ServiceAction, confirm: String? = null) =
        Button(label, Action.Service(action), true, null, confirm)

    private fun service(stage: String) =
        Screen.Service(
            ServiceScreen(
                RIG,
                "s0",
                "Inner port ring, Main housing",
                if (stage == "look") "2 of 5" else "5 of 5",
                if (stage == "look") "Look at it all round, under a light"
                else "Put a new ring in, lying flat all round",
                if (stage == "look") "Run it through clean fingers. What is on it?"
                else "Not twisted, and nothing under it",
                if (stage == "look") emptyList()
                else listOf(line("A nick or cut: this ring must not go back", Severity.BLOCKING, M.STRUCK)),
                if (stage == "look") {
                    listOf("Nothing" to "", "A hair or fibre, taken off" to "", "A nick or cut" to "Wants a new ring")
                        .map { (t, d) ->
                            Row(
                                t,
                                d,
                                null,
                                null,
                                Severity.PLAIN,
                                serviceTap(t, ServiceAction.Found("nick")),
                                null,
                            )
                        }
                } else {
                    listOf(
                            "New ring: AS568-258, NBR, 70 Shore A" to "4 in the box, pack A1, cured 2Q25",
                            "New ring: $LONG_NAME" to LONG_NOTE,
                        )
                        .map { (t, d) ->
                            Row(
                                t,
                                d,
                                null,
                                null,
                                Severity.PLAIN,
                                serviceTap(t, ServiceAction.NewRing("l1")),
                                null,
                            )
                        }
                },
                if (stage.startsWith("note"))
                    Form(
                        "note",
                        "The same ring, with a note",
                        listOf(field("note", "Note", FieldKind.LONG_TEXT, LONG_NOTE)),
                        "The same ring is back in",
                    )
                else null,
                emptyList(),
                "rig-1/seal/s0",
                null,
                listOf(
                    serviceTap("A new ring, not from the box", ServiceAction.ShowForm("fit")),
                    serviceTap(
                        "The old ring went back",
                        ServiceAction.SameRing,
                        "A nick or cut: it may leak, and the rig will not be ready with it. " +
                            "Did it go back all the same?",
                    ),
                    serviceTap("Leave the service", ServiceAction.OpenSeal),
                ),
            )
        )

    private fun boxTap(label: String, action: RingBoxAction) = Button(label, Action.RingBox(action), true, null, null)

    private fun box(form: String?) =
        Screen.RingBox(
            RingBoxScreen(
                "The box of rings",
                if (form == "none") "Nothing is in the box" else "11 rings in the box",
                if (form == "none") M.HOLLOW else M.FULL,
                Severity.PLAIN,
                if (form == "none") emptyList()
                else
                    listOf(
                        Row(
                            "AS568-258, NBR, 70 Shore A",
                            "4 in the box, pack A1, cured 2Q25",
                            "May be fitted until 2032-04-01 (ISO 2230)",
                            M.FULL,
                            Severity.PLAIN,
                            boxTap("Count them", RingBoxAction.ShowForm("count/l1")),
                            boxTap("Take one out", RingBoxAction.TakeOne("l1")),
                        ),
                        Row(
                            LONG_NAME,
                            "2 more taken than put in, pack B7, cured 1Q14",
                            "Too old to be fitted since 2024-01-01 (ISO 2230)",
                            M.STRUCK,
                            Severity.NOTICE,
                            boxTap("Count them", RingBoxAction.ShowForm("count/l2")),
                            null,
                        ),
                    ),
                if (form == "none") line("The crew's spare rings will stand here.") else null,
                if (form == "add")
                    Form(
                        "add",
                        "Put rings in the box",
                        listOf(
                            field("size", "Size", hint = "As AS568-258 or 151.99 x 3.53 mm"),
                            field("count", "How many", FieldKind.NUMBER, "1"),
                            field(
                                "material",
                                "Material",
                                FieldKind.CHOICE,
                                "NBR",
                                choices = (1..11).map { "m$it" to "Material $it" } + ("NBR" to "NBR (nitrile)"),
                            ),
                        ),
                        "Put rings in the box",
                    )
                else null,
                boxTap("Put rings in the box", RingBoxAction.ShowForm("add")),
            )
        )

    private fun sparesTap(label: String, action: SparesAction) = Button(label, Action.Spares(action), true, null, null)

    private fun spares(full: Boolean, form: String?) =
        Screen.Spares(
            SparesScreen(
                RIG,
                "Main rig, 24 mm prime",
                "Rings for a shoot",
                if (full) "Order 3 rings" else "No shoot is planned",
                M.HOLLOW,
                if (full) Severity.NOTICE else Severity.PLAIN,
                if (full)
                    listOf(
                        number("First day", "2026-06-03", ""),
                        number("Days", "10", ""),
                        number("Dives a day", "3", ""),
                        number("Openings a day", "2", ""),
                    )
                else emptyList(),
                if (full) listOf(line("Counted with every closure opened 2 times a day, each day to its end"))
                else emptyList(),
                if (full)
                    listOf(
                        Row(
                            LONG_NAME,
                            "Day 4, 2026-06-06. Opened 20 times since fitted; the limit is 20",
                            "Stands in the way from: Day 9, 2026-06-11",
                            M.HATCHED,
                            Severity.NOTICE,
                            sparesTap(LONG_NAME, SparesAction.OpenSeal("s0")),
                            null,
                        )
                    )
                else emptyList(),
                if (full)
                    listOf(
                        Row(
                            "AS568-258, NBR",
                            "Take 4: one for each of 2 seals and 2 that fall due. The box has 1: order 3.",
                            LONG_NAME,
                            M.HOLLOW,
                            Severity.NOTICE,
                            null,
                            null,
                        )
                    )
                else emptyList(),
                if (full) null else line("Say how many days, dives and openings are planned."),
                if (form == "plan")
                    Form(
                        "plan",
                        "The planned shoot",
                        listOf(
                            field("first_day", "First day", value = "2026-06-03"),
                            field("days", "Days", FieldKind.NUMBER, "10"),
                            field("salt", "In salt water", FieldKind.SWITCH, "yes"),
                        ),
                        "Keep the plan",
                    )
                else null,
                sparesTap("Plan a shoot", SparesAction.ShowForm("plan")),
                listOf(sparesTap("The box of rings", SparesAction.OpenBox)),
            )
        )

    private fun trimTap(label: String, action: TrimAction, confirm: String? = null) =
        Button(label, Action.Trim(action), true, null, confirm)

    private fun trimTick(title: String, on: Boolean, detail: String = "") =
        Row(
            title,
            detail,
            null,
            if (on) M.FULL else M.HOLLOW,
            Severity.PLAIN,
            trimTap("Confirm", TrimAction.Tick("p", "100", 1u, !on)),
            null,
        )

    private fun trim(form: String?): Screen.Trim {
        fun spot(x: Double, y: Double) = TrimSpot(x.toFloat(), y.toFloat())
        val drawing =
            TrimDrawing(
                "From starboard",
                0.7f,
                listOf(
                    TrimShape(
                        TrimShapeKind.PART,
                        listOf(spot(0.2, 0.2), spot(0.7, 0.15), spot(0.75, 0.5), spot(0.25, 0.55)),
                    ),
                    TrimShape(TrimShapeKind.LEVEL, listOf(spot(0.0, 0.35), spot(1.0, 0.35))),
                    TrimShape(TrimShapeKind.HANGS, listOf(spot(0.25, 0.6))),
                    TrimShape(TrimShapeKind.TO_CHANGE, listOf(spot(0.7, 0.6))),
                    TrimShape(TrimShapeKind.FREE, listOf(spot(0.9, 0.3))),
                    TrimShape(TrimShapeKind.MASS_CENTRE, listOf(spot(0.48, 0.37))),
                    TrimShape(TrimShapeKind.LIFT_CENTRE, listOf(spot(0.5, 0.3))),
                ),
                listOf(
                    TrimLabel(spot(0.25, 0.6), "1, 3"),
                    TrimLabel(spot(0.7, 0.6), "2"),
                    TrimLabel(spot(0.0, 0.0), "Rear"),
                    TrimLabel(spot(1.0, 0.0), "Front"),
                ),
                "From starboard. The rig is heavy by 40 g, nose 2° up. 1, Front left: 100 g.",
            )
        val legend =
            listOf(
                TrimShapeKind.HANGS to "Hangs as it should",
                TrimShapeKind.TO_CHANGE to "To be changed",
                TrimShapeKind.FREE to "Nothing hangs",
                TrimShapeKind.MASS_CENTRE to "Centre of mass",
                TrimShapeKind.LIFT_CENTRE to "Centre of buoyancy",
                TrimShapeKind.LEVEL to "Level",
            )
        return Screen.Trim(
            TrimScreen(
                RIG,
                "Main rig, 24 mm prime",
                "3 weights to change",
                M.HOLLOW,
                Severity.PLAIN,
                "Open sea, 18.0 °C, 10 m deep, 24 mm prime. Now it floats by 310 g, give or take 440 g, nose 2° up",
                listOf(
                    trimTick("1 · Front left: 2 × 100 g", true),
                    trimTick("2 · $LONG_NAME: 250 g", false),
                    trimTick("3 · Rear left: take 50 g off", false),
                    trimTick("4 · Rear right: 2 × 100 g", false, "100 g more"),
                ),
                listOf(
                    line("With all of it, it is heavy by 50 g, give or take 440 g, nose level"),
                    line("At best still floats 120 g too much: the box is used up", Severity.NOTICE, M.HATCHED),
                ),
                listOf(drawing),
                legend.map { TrimLegend(it.first, it.second) },
                listOf(
                    number("Floats by", "310", "g", "give or take 440 g"),
                    number("Nose up", "2.1", "°", "give or take 3 °"),
                ),
                listOf(
                    Row(
                        "Large battery",
                        "In place of Battery",
                        null,
                        M.HOLLOW,
                        Severity.PLAIN,
                        trimTap("Confirm", TrimAction.Fit("large", true)),
                        null,
                    )
                ),
                if (form == "what-if")
                    listOf(
                        Row(
                            "Open sea instead of Pool",
                            "+310 g of lift; add 100 g at Front left and Rear right",
                            null,
                            null,
                            Severity.PLAIN,
                            null,
                            null,
                        ),
                        Row(
                            "Large battery instead of Battery",
                            "−120 g of lift; nothing to change",
                            "without Battery −40 g, Large battery −80 g",
                            null,
                            Severity.PLAIN,
                            null,
                            null,
                        ),
                    )
                else emptyList(),
                listOf(
                    Row(
                        "Floated up by 60 g; nose up",
                        "Main housing: volume 14600 cm³ → 14540 cm³, centre of volume 3 mm aft",
                        "Noor, 8 min ago",
                        M.FULL,
                        Severity.PLAIN,
                        trimTap(
                            "Take it back",
                            TrimAction.TakeBack("e1"),
                            "Take this back, and what it taught about the parts?",
                        ),
                        null,
                    )
                ),
                if (form == "water")
                    Form(
                        "water",
                        "The water of the day",
                        listOf(
                            field(
                                "water",
                                "Water",
                                FieldKind.CHOICE,
                                "sea",
                                choices =
                                    listOf("fresh", "pool", "sea", "cold", "warm", "brackish", "salty").map {
                                        it to it
                                    },
                            ),
                            field("salinity", "Salinity, if you measured it", FieldKind.NUMBER),
                            field("depth", "At which depth", FieldKind.NUMBER, "10", "m"),
                        ),
                        "This is the water",
                    )
                else null,
                trimTap("All of it hangs", TrimAction.HangAll),
                listOf(
                    trimTap("Choose the water", TrimAction.ShowForm("water")),
                    trimTap("What if", TrimAction.ShowForm("what-if")),
                ),
                "Not seen here: air trapped under covers, current, the pull of a cable.",
            )
        )
    }

    private fun journal(full: Boolean) =
        Screen.Journal(
            JournalScreen(
                if (full) "Main rig, 24 mm prime" else "Journal",
                if (full) "1 240 entries" else "No entries",
                if (full)
                    (1..12).map {
                        Row(
                            "Plug refitted",
                            "Main housing",
                            "Noor, 12 March, ${10 + it}:40, this phone",
                            null,
                            Severity.PLAIN,
                            Button("", Action.Journal(JournalAction.OpenEntry("e$it")), true, null, null),
                            null,
                        )
                    }
                else emptyList(),
                if (full) "older-1" else null,
                if (full) null else line("What is done to the rigs will stand here, with who and when."),
            )
        )

    private val entry =
        Screen.Entry(
            EntryScreen(
                "Plug refitted",
                listOf(
                    line("Main housing of Main rig"),
                    line("By Noor, 12 March, 11:40 (UTC+2)"),
                    line("On this phone, entry 812"),
                ),
                emptyList(),
                line("Signed, and in its place in the chain", Severity.GOOD, M.FULL),
                "event/e1",
                """{"kind":"plug_on","enclosure":"main","at":"2026-03-12T09:40:00Z","note":"$LONG_NOTE"}""",
                listOf(Button("Open the rig", Action.Journal(JournalAction.OpenRig(RIG)), true, null, null)),
            )
        )

    private fun photo(hash: String) =
        Screen.Photo(
            PhotoScreen(
                LONG_NOTE,
                hash,
                "Photo: $LONG_NOTE",
                hash == "broken",
                listOfNotNull(
                    if (hash == "broken") line("This photo's file is damaged", Severity.BLOCKING, M.STRUCK) else null,
                    line("JPEG, 4.1 MB"),
                    line("4032 × 3024 pixels"),
                ),
                listOf(
                    Row(
                        "Main rig: Main housing, back",
                        LONG_NOTE,
                        "Noor, 12 min ago",
                        null,
                        Severity.PLAIN,
                        Button("Open the rig", Action.Photo(PhotoAction.OpenRig(RIG)), true, null, null),
                        null,
                    )
                ),
                listOf(
                    Button("Hand on without its location", Action.Photo(PhotoAction.HandOn(false)), true, null, null),
                    Button(
                        "Hand on as the camera made it",
                        Action.Photo(PhotoAction.HandOn(true)),
                        true,
                        null,
                        "The file may tell where it was taken. Hand it on so?",
                    ),
                ),
                "BLAKE3 of the file: 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
            )
        )

    private fun crew(form: String?) =
        Screen.Crew(
            CrewScreen(
                "Noor holds the phone",
                listOf("Noor" to "Assistant", "Ana" to "Director of photography", "Ben" to "Assistant").mapIndexed {
                    i,
                    (n, r) ->
                    Row(
                        n,
                        r,
                        null,
                        if (i == 0) M.FULL else M.HOLLOW,
                        Severity.PLAIN,
                        if (i == 0) null
                        else Button("Hand the phone over", Action.Crew(CrewAction.HoldPhone("m$i")), true, null, null),
                        null,
                    )
                },
                null,
                listOf(
                    Row(
                        "Water let in at most",
                        "20 mL per dive",
                        null,
                        null,
                        Severity.PLAIN,
                        Button("Change", Action.Crew(CrewAction.ShowForm("limits")), true, null, null),
                        null,
                    ),
                    Row(
                        "Pressure",
                        "mbar",
                        null,
                        null,
                        Severity.PLAIN,
                        Button("Change", Action.Crew(CrewAction.ShowForm("units")), true, null, null),
                        null,
                    ),
                ),
                if (form == "member")
                    Form(
                        "member",
                        "A new member",
                        listOf(
                            field("name", "Name"),
                            field(
                                "role",
                                "Role",
                                FieldKind.CHOICE,
                                choices = listOf("dp" to "Director of photography", "assistant" to "Assistant"),
                            ),
                        ),
                        "Add",
                    )
                else null,
                Button("Add a member", Action.Crew(CrewAction.ShowForm("member")), true, null, null),
                listOf(Button("Add a gauge", Action.Crew(CrewAction.ShowForm("gauge")), true, null, null)),
                listOf(line("Slackwater 0.1.0"), line("This phone: 7F3A")),
            )
        )

    private fun edit(part: String?) =
        Screen.RigEdit(
            RigEditScreen(
                RIG,
                if (part == null) "Main rig, 24 mm prime" else "Main housing",
                line("A change here takes the readiness away until it is proved again.", Severity.NOTICE, M.HATCHED),
                if (part == null)
                    listOf("Enclosures" to "enclosure", "Seals" to "seal").map { (t, k) ->
                        EditSection(
                            t,
                            (1..2).map {
                                Row(
                                    "$t $it",
                                    "12 L, rated to 60 m",
                                    null,
                                    null,
                                    Severity.PLAIN,
                                    Button("", Action.RigEdit(RigEditAction.OpenPart("$k/$it")), true, null, null),
                                    null,
                                )
                            },
                            Button("Add to ${t.lowercase()}", Action.RigEdit(RigEditAction.Add(k)), true, null, null),
                        )
                    }
                else emptyList(),
                if (part == null) null
                else
                    Form(
                        "part",
                        "",
                        listOf(
                            field("name", "Name", value = "Main housing"),
                            field(
                                "volume",
                                "Free gas volume",
                                FieldKind.NUMBER,
                                "12",
                                "L",
                                "What is empty when the camera is in",
                            ),
                        ),
                        "Keep",
                    ),
                null,
                if (part == null) emptyList()
                else
                    listOf(
                        Button(
                            "Take it off the rig",
                            Action.RigEdit(RigEditAction.Remove(part)),
                            true,
                            null,
                            "Take Main housing off the rig? Its history stays.",
                        )
                    ),
            )
        )

    private val setup =
        Screen.HoldSetup(
            HoldSetupScreen(
                RIG,
                "Main housing",
                "Valve open: what does the gauge of Main housing show?",
                listOf(line("Outer port ring is not serviced since it was disturbed", Severity.BLOCKING, M.STRUCK)),
                Form(
                    "setup",
                    "",
                    listOf(
                        field("gauge", "Gauge reads", FieldKind.NUMBER, unit = "mbar"),
                        field("temperature", "Air in the shade", FieldKind.NUMBER, unit = "°C"),
                        field("barometer", "Barometer", FieldKind.NUMBER, unit = "mbar", value = "1013"),
                    ),
                    "The valve is closed: start",
                ),
                emptyList(),
                listOf(Button("Look at a logged hold from a file", Action.Hold(HoldAction.Bring), true, null, null)),
                CAVEAT,
            )
        )

    /** The shell's words, in English. */
    val words =
        ShellWords(
            "Back",
            "Undo",
            "No, leave it",
            "Try again",
            "Older entries",
            "Choose another",
            "Add a photo",
            "Choose a photo of this phone's",
            "No camera app answers on this phone.",
            "That file can't be read.",
            "Give it up",
            "Note on the photo",
            "Keep the photo",
            "Drop the photo",
            "Screen",
            "Day",
            "Full sun",
            "Night",
            "Deck recheck",
            "Seals",
            "Trim",
            "What to hang",
            "Fitted",
            "Learnt in the water",
            "What if",
            "Crew",
            "Hold",
            "In the way",
            "Enclosures",
            "Defects",
            "Preps and procedures",
            "Plan",
            "Controls",
            "Photos",
            "More",
            "Retired",
            "Readings",
            "Why",
            "Figures",
            "History",
            "To pack",
            "Falls due",
            "Members",
            "Limits and units",
            "About",
            "All steps",
            "As recorded",
            "Air on deck",
        )

    /** Places worth seeing, by the name of their picture. */
    val places: Map<String, Place> =
        linkedMapOf(
            "rigs" to Place.Rigs(null),
            "rigs-none" to Place.Rigs("none"),
            "rig-ready" to Place.Rig("ready", null),
            "rig-not-ready" to Place.Rig(RIG, null),
            "rig-defect" to Place.Rig(RIG, "defect"),
            "rig-controls" to Place.Rig(RIG, "controls"),
            "prep-screws" to Place.Prep("prep-1", null, null),
            "prep-seal" to Place.Prep("prep-1", "seal", null),
            "prep-skip" to Place.Prep("prep-1", null, "skip"),
            "prep-steps" to Place.Prep("prep-1", null, "steps"),
            "hold-setup" to Place.HoldSetup(RIG, "main"),
            "hold-running" to Place.Hold("hold-1", null),
            "hold-ended" to Place.Hold("ended", null),
            "hold-abandon" to Place.Hold("hold-1", "abandon"),
            "recheck-air" to Place.Recheck("air"),
            "recheck-read" to Place.Recheck(RIG),
            "seals" to Place.Seals(RIG),
            "seals-none" to Place.Seals("none"),
            "seal" to Place.Seal(RIG, "s0", null),
            "seal-measure" to Place.Seal(RIG, "s0", "measure"),
            "seal-sizes" to Place.Seal(RIG, "s0", "sizes/227.9/3.5/mm"),
            "service-look" to Place.Service(RIG, "s0", "look", null, null),
            "service-back" to Place.Service(RIG, "s0", "back/nick", "prep-1", "seal"),
            "service-note" to Place.Service(RIG, "s0", "note/hair", null, null),
            "box" to Place.RingBox(null),
            "box-none" to Place.RingBox("none"),
            "box-add" to Place.RingBox("add"),
            "spares" to Place.Spares(RIG, null),
            "spares-none" to Place.Spares("none", null),
            "spares-plan" to Place.Spares(RIG, "plan"),
            "trim" to Place.Trim(RIG, null),
            "trim-water" to Place.Trim(RIG, "water"),
            "trim-what-if" to Place.Trim(RIG, "what-if"),
            "journal" to Place.Journal(RIG, null),
            "journal-none" to Place.Journal(null, null),
            "entry" to Place.Entry("e1"),
            "photo" to Place.Photo("p1"),
            "photo-broken" to Place.Photo("broken"),
            "crew" to Place.Crew(null),
            "crew-member" to Place.Crew("member"),
            "edit" to Place.RigEdit(RIG, null),
            "edit-part" to Place.RigEdit(RIG, "enclosure/main"),
        )

    /** What stands at [place]. */
    fun show(place: Place): Screen =
        when (place) {
            is Place.Rigs -> rigs(place.form != "none")
            is Place.Rig -> rigScreen(place.rig == "ready", place.form)
            is Place.RigEdit -> edit(place.part)
            is Place.Prep -> prep(place.step, place.form)
            is Place.HoldSetup -> setup
            is Place.Hold -> hold(place.hold == "hold-1", place.form)
            is Place.Recheck -> recheck(place.rig != "air")
            is Place.Seals -> seals(place.rig != "none")
            is Place.Seal -> seal(place.form)
            is Place.Service -> service(place.stage)
            is Place.RingBox -> box(place.form)
            is Place.Spares -> spares(place.rig != "none", place.form)
            is Place.Trim -> trim(place.form)
            is Place.Journal -> journal(place.rig != null)
            is Place.Entry -> entry
            is Place.Photo -> photo(place.photo)
            is Place.Crew -> crew(place.form)
        }
}
