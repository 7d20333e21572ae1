package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.RecheckAction
import org.slackwater.core.RecheckButton
import org.slackwater.core.RecheckItem
import org.slackwater.core.RecheckScreen
import org.slackwater.ui.design.FactRow
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** The deck recheck: has anything changed since it was proved? */
@Composable
fun RecheckPage(frame: Frame, screen: RecheckScreen) {
    val submit = { key: String, values: List<org.slackwater.core.FieldValue> -> Action.Recheck(RecheckAction.Submit(key, values)) }
    val air = Filled(screen.air, submit)
    val readings = screen.items.mapNotNull { it.form }
    // One thing at a time at the thumb: the air first, then each enclosure's number.
    val waitsForAir = readings.isEmpty() && screen.main == null
    val only = readings.singleOrNull()?.takeIf { screen.main == null }?.let { Filled(it, submit) }
    FramedPage(
        frame, frame.words.recheckTitle, screen.rigName, if (waitsForAir) air else only,
        frame.main(screen.main?.tap(frame)),
    ) {
        part { MarkedAnswer(screen.answer, screen.mark.shape, weight = screen.severity.weight) }
        if (waitsForAir) form(frame, air, inline = false)
        for (item in screen.items) {
            part { SectionTitle(item.name) }
            part { FactRow(item.state, mark = item.mark.shape, weight = item.severity.weight) }
            item.expected?.let { part { Figure(it) } }
            item.form?.let { form(frame, Filled(it, submit), inline = it.key != only?.form?.key) }
            item.then?.let { part { Figure(it) } }
            lines(item.reasons)
            item.next?.let { next -> part { frame.TapRow(next.tap(frame)) } }
        }
        if (!waitsForAir) {
            if (air.form.title.isEmpty()) part { SectionTitle(frame.words.air) }
            form(frame, air, inline = true)
        }
        if (screen.caveat.isNotEmpty()) part { Footnote(screen.caveat) }
    }
}

private fun RecheckButton.tap(frame: Frame) = Tap(label, enabled, whyNot, confirm) { frame.send(Action.Recheck(action)) }
