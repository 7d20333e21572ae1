package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.DrawingShape
import org.slackwater.core.PrepAction
import org.slackwater.core.PrepScreen
import org.slackwater.core.Row as CoreRow
import org.slackwater.ui.core.form
import org.slackwater.ui.core.own
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.Caution
import org.slackwater.ui.design.CrossingOrder
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Mark
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.Screw
import org.slackwater.ui.design.TickRow
import org.slackwater.ui.design.part

/** One step of a prep: what do I do now, and how do I know that it is right? */
@Composable
fun PrepPage(frame: Frame, screen: PrepScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Prep(PrepAction.Submit(key, values)) } }
    val shown = frame.place.form
    if (form != null && shown != null) {
        FormPage(frame, screen.place, screen.instruction, form)
        return
    }
    if (shown != null && screen.steps.isNotEmpty()) {
        FramedPage(frame, frame.words.steps, screen.procedure, null, null) {
            rows(frame, null, screen.steps.map { it.item(frame) })
        }
        return
    }
    FramedPage(
        frame,
        screen.place,
        listOf(screen.rigName, screen.procedure).filter { it.isNotEmpty() }.joinToString(", "),
        form,
        frame.main(screen.main?.tap(frame)),
        scrollKey = screen.step,
    ) {
        screen.interruption?.let { part { FactRow(it, mark = Mark.Hatched) } }
        part {
            MarkedAnswer(screen.instruction, screen.mark.takeIf { screen.state != null }?.shape)
            if (screen.text.isNotEmpty()) BodyText(screen.text)
        }
        screen.caution?.let { part { Caution(it) } }
        screen.state?.let { lines(listOf(it)) }
        screen.drawing?.let { drawing ->
            part {
                CrossingOrder(
                    drawing.dots.map { Screw(it.turn.toInt(), it.x, it.y) },
                    drawing.shape == DrawingShape.CIRCLE,
                    drawing.spoken,
                )
                BodyText(drawing.spoken)
            }
        }
        for (row in screen.parts) part { StepPart(frame, row) }
        if (form != null) form(frame, form, inline = screen.main != null)
        rows(frame, frame.words.steps, screen.steps.map { it.item(frame) })
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        photos(frame, screen.photos, screen.photoSubject)
    }
}

/** A part that is ticked stands as a box to tick; anything else as a row. */
@Composable
private fun StepPart(frame: Frame, row: CoreRow) {
    val tap = row.tap
    val tick = tap?.action?.own as? PrepAction.Tick
    if (tick != null && tap.enabled && tap.confirm == null) {
        TickRow(row.title, !tick.on, { frame.send(tap.action) }, detail = row.detail.ifEmpty { null })
    } else {
        frame.ItemRow(row.item(frame))
    }
}
