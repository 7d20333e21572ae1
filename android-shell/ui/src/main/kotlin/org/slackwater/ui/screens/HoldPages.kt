package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import androidx.compose.runtime.DisposableEffect
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.saveable.rememberSaveable
import androidx.compose.runtime.setValue
import kotlin.time.Duration.Companion.seconds
import kotlinx.coroutines.delay
import org.slackwater.core.Action
import org.slackwater.core.HoldAction
import org.slackwater.core.HoldChart
import org.slackwater.core.HoldScreen
import org.slackwater.core.HoldSetupScreen
import org.slackwater.ui.core.form
import org.slackwater.ui.design.Answer
import org.slackwater.ui.design.ChartContent
import org.slackwater.ui.design.ChartLimit
import org.slackwater.ui.design.ChartPoint
import org.slackwater.ui.design.ChartTick
import org.slackwater.ui.design.Footnote
import org.slackwater.ui.design.HoldChart as ChartPart
import org.slackwater.ui.design.MarkedAnswer
import org.slackwater.ui.design.StrongText
import org.slackwater.ui.design.part

/** Pumping down: what stands in the way of a hold that counts, and the first reading. */
@Composable
fun HoldSetupPage(frame: Frame, screen: HoldSetupScreen) {
    val form = Filled(screen.form) { key, values -> Action.Hold(HoldAction.Submit(key, values)) }
    FramedPage(frame, frame.words.holdTitle, screen.enclosureName, form, null) {
        part { Answer(screen.instruction) }
        lines(screen.obstacles)
        form(frame, form, inline = false)
        lines(screen.brought)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        if (screen.caveat.isNotEmpty()) part { Footnote(screen.caveat) }
    }
}

/** A hold: is it tight, and how long must I still wait? */
@Composable
fun HoldPage(frame: Frame, screen: HoldScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Hold(HoldAction.Submit(key, values)) } }
    ReadingAlarm(frame, screen)
    VerdictAlarm(frame, screen)
    if (screen.running) StaysLit(frame)
    if (form != null && frame.place.form != null) {
        FormPage(frame, screen.enclosureName, screen.verdict, form)
        return
    }
    FramedPage(frame, frame.words.holdTitle, screen.enclosureName, form, frame.main(screen.main?.tap(frame))) {
        part { MarkedAnswer(screen.verdict, screen.mark.shape, weight = screen.severity.weight) }
        screen.nextReading?.let { part { StrongText(it) } }
        lines(screen.phone)
        screen.chart?.let { chart -> part { ChartPart(chart.content()) } }
        if (form != null) form(frame, form, inline = screen.main != null)
        lines(screen.reasons)
        quantities(frame.words.figures, screen.figures)
        quantities(screen.detailsTitle, screen.details)
        rows(frame, frame.words.readings, screen.readings.map { it.item(frame) })
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        photos(frame, screen.photos, screen.photoSubject)
        if (screen.caveat.isNotEmpty()) part { Footnote(screen.caveat) }
    }
}

/** Rings when the next reading is due; the core has said in how many seconds. */
@Composable
private fun ReadingAlarm(frame: Frame, screen: HoldScreen) {
    val seconds = screen.nextReadingS ?: return
    if (!screen.running || seconds <= 0) return
    // One alarm for each number of readings: a refresh of the screen doesn't ring again.
    LaunchedEffect(screen.hold, screen.readings.size) {
        delay(seconds.seconds)
        frame.state.platform.alarm.ring()
        frame.state.again()
    }
}

/** Shakes when the readings come to something, or to something else, while this stands; not when it comes up so. */
@Composable
private fun VerdictAlarm(frame: Frame, screen: HoldScreen) {
    var told by rememberSaveable(screen.hold) { mutableStateOf(screen.reached?.name) }
    LaunchedEffect(screen.hold, screen.reached) {
        val reached = screen.reached
        if (reached != null && reached.name != told) frame.state.platform.alarm.verdict(reached)
        told = reached?.name
    }
}

/** A hold is watched with hands that can't touch the phone. */
@Composable
private fun StaysLit(frame: Frame) =
    DisposableEffect(frame.state) {
        frame.state.platform.awake.keep(true)
        onDispose { frame.state.platform.awake.keep(false) }
    }

private fun HoldChart.content() =
    ChartContent(
        x = xMin..xMax,
        y = yMin..yMax,
        points = points.map { ChartPoint(it.x, it.y, it.aside) },
        fit = fit.map { ChartPoint(it.x, it.y) },
        bandLow = fit.map { ChartPoint(it.x, it.low) },
        bandHigh = fit.map { ChartPoint(it.x, it.high) },
        limit = if (fit.isEmpty()) null else ChartLimit(fit.map { ChartPoint(it.x, it.limit) }, limitLabel),
        xTicks = xTicks.map { ChartTick(it.at, it.label) },
        yTicks = yTicks.map { ChartTick(it.at, it.label) },
        xUnit = xUnit,
        yUnit = yUnit,
        spoken = spoken,
    )
