package org.slackwater.desktop

import androidx.compose.foundation.layout.Box
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.remember
import androidx.compose.runtime.rememberCoroutineScope
import androidx.compose.ui.input.key.Key
import androidx.compose.ui.input.key.KeyEventType
import androidx.compose.ui.input.key.key
import androidx.compose.ui.input.key.type
import androidx.compose.ui.unit.DpSize
import androidx.compose.ui.unit.dp
import androidx.compose.ui.window.Window
import androidx.compose.ui.window.application
import androidx.compose.ui.window.rememberWindowState
import java.io.File
import java.util.Locale
import java.util.TimeZone
import kotlin.time.Duration.Companion.milliseconds
import kotlinx.coroutines.Dispatchers
import org.slackwater.bridge.RealCore
import org.slackwater.bridge.Where
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Platform
import org.slackwater.ui.screens.FailedApp
import org.slackwater.ui.screens.SlackwaterApp

/** The minutes by which this computer's clock is ahead of UTC now. */
fun utcOffsetMinutes(): Int =
    TimeZone.getDefault().getOffset(System.currentTimeMillis()).milliseconds.inWholeMinutes.toInt()

/**
 * `MainKt [FOLDER]`: opens the phone screens in a window of a phone's size, on the store in FOLDER; an empty one is
 * filled with the demo rig. Escape goes back.
 */
fun main(args: Array<String>) {
    val folder = File(args.firstOrNull() ?: "${System.getProperty("user.home")}/.slackwater-demo")
    application {
        val opened = remember { openStore(folder) }
        val scope = rememberCoroutineScope()
        val state = remember {
            opened.getOrNull()?.let { core ->
                val platform =
                    Platform(
                        SkiaPictures,
                        FileCamera(),
                        FileSettings(File(folder, "window.properties")),
                        Beep,
                        FileSharing(),
                        intake = FileIntake(),
                    )
                AppState(core, platform, scope, Dispatchers.IO.limitedParallelism(1))
            }
        }
        Window(
            onCloseRequest = {
                opened.getOrNull()?.close()
                exitApplication()
            },
            title = "Slackwater",
            state = rememberWindowState(size = DpSize(412.dp, 915.dp)),
            onKeyEvent = { event ->
                val goes = event.key == Key.Escape && event.type == KeyEventType.KeyDown && state?.canGoBack == true
                if (goes) state.back()
                goes
            },
        ) {
            if (state == null) {
                Box { FailedApp(opened.exceptionOrNull()?.message.orEmpty(), "Close", letters) { exitApplication() } }
            } else {
                LaunchedEffect(state) { state.begin() }
                SlackwaterApp(state, letters)
            }
        }
    }
}

private fun openStore(folder: File): Result<RealCore> =
    try {
        val language = Locale.getDefault().toLanguageTag()
        Result.success(RealCore.open(Where(folder.path, utcOffsetMinutes(), demo = true, language = language)))
    } catch (e: CoreProblem) {
        Result.failure(e)
    }
