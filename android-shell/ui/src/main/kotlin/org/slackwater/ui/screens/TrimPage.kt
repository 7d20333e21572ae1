package org.slackwater.ui.screens

import androidx.compose.foundation.lazy.LazyListScope
import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.Row as CoreRow
import org.slackwater.core.TrimAction
import org.slackwater.core.TrimDrawing
import org.slackwater.core.TrimScreen
import org.slackwater.core.TrimShapeKind
import org.slackwater.ui.core.form
import org.slackwater.ui.core.own
import org.slackwater.ui.design.BodyText
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.Spot
import org.slackwater.ui.design.SpotLabel
import org.slackwater.ui.design.SpotShape
import org.slackwater.ui.design.Stroke
import org.slackwater.ui.design.StrokeLegend
import org.slackwater.ui.design.TickRow
import org.slackwater.ui.design.View
import org.slackwater.ui.design.ViewDrawing
import org.slackwater.ui.design.part

/** How a rig hangs: what do I hang where? */
@Composable
fun TrimPage(frame: Frame, screen: TrimScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Trim(TrimAction.Submit(key, values)) } }
    val shown = frame.place.form
    if (form != null && shown != null) {
        FormPage(frame, frame.words.trimTitle, screen.rigName, form)
        return
    }
    if (shown != null && screen.whatIfs.isNotEmpty()) {
        FramedPage(frame, frame.words.trimWhatIfs, screen.rigName, null, null) {
            part { BodyText(screen.reason) }
            rows(frame, null, screen.whatIfs.map { it.item(frame) })
        }
        return
    }
    FramedPage(frame, frame.words.trimTitle, screen.rigName, null, frame.main(screen.main?.tap(frame))) {
        part {
            MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight)
            if (screen.reason.isNotEmpty()) BodyText(screen.reason)
        }
        ticks(frame, frame.words.trimList, screen.list)
        lines(screen.notices)
        for (drawing in screen.drawings) {
            part { SectionTitle(drawing.title) }
            part { ViewDrawing(drawing.view()) }
        }
        if (screen.legend.isNotEmpty()) part { StrokeLegend(screen.legend.map { it.kind.stroke to it.text }) }
        quantities(frame.words.figures, screen.figures)
        ticks(frame, frame.words.trimSwaps, screen.swaps)
        rows(frame, frame.words.trimLessons, screen.lessons.map { it.item(frame) })
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        if (screen.caveat.isNotEmpty()) part { Footnote(screen.caveat) }
    }
}

private fun LazyListScope.ticks(frame: Frame, title: String, rows: List<CoreRow>) {
    if (rows.isEmpty()) return
    part { SectionTitle(title) }
    for (row in rows) part { Tick(frame, row) }
}

/** What is hung or fitted stands as a box to tick. */
@Composable
private fun Tick(frame: Frame, row: CoreRow) {
    val on =
        when (val action = row.tap?.action?.own) {
            is TrimAction.Tick -> action.on
            is TrimAction.Fit -> action.on
            else -> null
        }
    if (on == null) frame.ItemRow(row.item(frame))
    else
        TickRow(
            row.title,
            !on,
            { row.tap?.let { frame.send(it.action) } },
            detail = row.detail.ifEmpty { null },
        )
}

private val TrimShapeKind.stroke: Stroke
    get() =
        when (this) {
            TrimShapeKind.LEVEL -> Stroke.Level
            TrimShapeKind.PART -> Stroke.Outline
            TrimShapeKind.FREE -> Stroke.Dot
            TrimShapeKind.HANGS -> Stroke.Block
            TrimShapeKind.TO_CHANGE -> Stroke.OpenBlock
            TrimShapeKind.MASS_CENTRE -> Stroke.Down
            TrimShapeKind.LIFT_CENTRE -> Stroke.Up
        }

private fun TrimDrawing.view() =
    View(
        height,
        shapes.map { shape -> SpotShape(shape.kind.stroke, shape.spots.map { Spot(it.x, it.y) }) },
        labels.map { SpotLabel(Spot(it.at.x, it.at.y), it.text) },
        spoken,
    )
