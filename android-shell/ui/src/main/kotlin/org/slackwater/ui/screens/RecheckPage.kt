package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.FieldValue
import org.slackwater.core.Mark as CoreMark
import org.slackwater.core.RecheckAction
import org.slackwater.core.RecheckScreen
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** The deck recheck: has anything changed since it was proved? */
@Composable
fun RecheckPage(frame: Frame, screen: RecheckScreen) {
    val submit = { key: String, values: List<FieldValue> -> Action.Recheck(RecheckAction.Submit(key, values)) }
    val air = Filled(screen.air, submit)
    val waitsForAir = screen.items.none { it.form != null } && screen.main == null
    // One thing at a time at the thumb: the air first, then the first gauge that is not read yet.
    val next = screen.items.firstOrNull { it.form != null && it.mark == CoreMark.HOLLOW }?.form
    val atThumb =
        when {
            screen.main != null -> null
            waitsForAir -> air
            else -> next?.let { Filled(it, submit) }
        }
    FramedPage(
        frame,
        frame.words.recheckTitle,
        screen.rigName,
        atThumb,
        frame.main(screen.main?.tap(frame)),
    ) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        // It keeps its place: what it asks of the camera is said before each reading.
        if (!waitsForAir && air.form.title.isEmpty()) part { SectionTitle(frame.words.air) }
        form(frame, air, inline = !waitsForAir)
        for (item in screen.items) {
            part { SectionTitle(item.name) }
            part { FactRow(item.state, mark = item.mark.shape, weight = item.severity.weight) }
            item.expected?.let { part { Figure(it) } }
            // One that reads as it should needs no second reading.
            if (item.mark != CoreMark.FULL)
                item.form?.let { form ->
                    form(frame, Filled(form, submit), inline = form.key != atThumb?.form?.key, of = item.name)
                }
            item.then?.let { part { Figure(it) } }
            lines(item.reasons)
            item.next?.let { next -> part { frame.TapRow(next.tap(frame)) } }
        }
        if (screen.caveat.isNotEmpty()) part { Footnote(screen.caveat) }
    }
}
