package org.slackwater.app

import android.app.Application
import android.net.Uri
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import java.io.File
import java.util.Locale
import java.util.TimeZone
import kotlin.time.Duration.Companion.milliseconds
import kotlinx.coroutines.CoroutineDispatcher
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.ExperimentalCoroutinesApi
import kotlinx.coroutines.Job
import kotlinx.coroutines.MainScope
import kotlinx.coroutines.launch
import kotlinx.coroutines.withContext
import org.slackwater.bridge.RealCore
import org.slackwater.bridge.Where
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Kept
import org.slackwater.ui.core.Platform

/**
 * Holds the one core and the one state of the app: they outlive activities, not the process. What a test stands in for
 * is open.
 */
open class SlackwaterApplication : Application() {
    protected val scope: CoroutineScope = MainScope()
    private var following: Job? = null

    val camera = PhoneCamera()
    val barometer by lazy { PhoneBarometer(this) }
    val awake = PhoneAwake()
    val intake by lazy { PhoneIntake(this) }
    val caller by lazy { PhoneCaller(this) }

    /** An activity is in front. */
    var isInFront = false

    /** Which page the person is looking at. */
    val inFront: String?
        get() = state?.page?.at?.takeIf { isInFront }

    /** Why the store can't be opened; then there is no [state]. */
    var problem: String? by mutableStateOf(null)
        private set

    var state: AppState? by mutableStateOf(null)
        private set

    protected var core: RealCore? = null
        private set

    /** Opens the store once. Files and the key store are asked here, before the first frame. */
    fun open(kept: Kept?) {
        if (state != null) return
        try {
            val opened = core ?: RealCore.open(where()).also { core = it }
            follow(stateOn(opened), kept)
            problem = null
        } catch (e: CoreProblem) {
            problem = e.message
        }
    }

    /** Shows [next] from now on, at the places that were [kept]. */
    protected fun follow(next: AppState, kept: Kept?) {
        following?.cancel()
        if (kept != null) next.restore(kept)
        state = next
        following = next.begin()
    }

    /** Where the store is. */
    protected open fun where(): Where =
        Where(
            File(filesDir, "store").path,
            utcOffsetMinutes(),
            secret = PhoneSecret(this).get(),
            language = Locale.getDefault().toLanguageTag(),
        )

    /** A state on the open store. */
    @OptIn(ExperimentalCoroutinesApi::class)
    protected open fun stateOn(core: RealCore): AppState =
        AppState(core, platform(), scope, Dispatchers.IO.limitedParallelism(1))

    protected open fun platform() =
        Platform(
            PhonePictures,
            camera,
            PhoneSettings(this),
            PhoneAlarm(this),
            PhoneSharing(this),
            barometer,
            intake,
            awake = awake,
            caller = caller,
            condition = PhoneCondition(this, caller),
        )

    /** Where files of other apps are read. */
    protected open val reading: CoroutineDispatcher = Dispatchers.IO

    /** A file was chosen, or none. */
    fun chosen(uri: Uri?) = read(uri, intake::read) { if (!intake.finish(it)) state?.documentTaken(it) }

    /** A photo was chosen, or none. */
    fun picked(uri: Uri?) = read(uri, intake::readPhoto) { if (!camera.finishPick(it)) state?.photoPicked(it) }

    /** Another app handed a file in. */
    fun handedIn(uri: Uri) =
        read(uri, intake::read) { file -> state?.receive(file.mapCatching { it ?: throw CoreProblem("no file") }) }

    private fun <T> read(uri: Uri?, how: (Uri) -> T, done: (Result<T?>) -> Unit) {
        scope.launch {
            val result =
                withContext(reading) {
                    try {
                        Result.success(uri?.let(how))
                    } catch (e: CoreProblem) {
                        Result.failure(e)
                    }
                }
            done(result)
        }
    }

    /** The rig travels: local times follow the phone's zone, and the words its language. */
    fun zoneMayHaveChanged() {
        core?.setUtcOffset(utcOffsetMinutes())
        core?.setLanguage(Locale.getDefault().toLanguageTag())
    }

    protected open fun utcOffsetMinutes(): Int =
        TimeZone.getDefault().getOffset(System.currentTimeMillis()).milliseconds.inWholeMinutes.toInt()
}
