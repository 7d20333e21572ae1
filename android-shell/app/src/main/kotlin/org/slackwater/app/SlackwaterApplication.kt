package org.slackwater.app

import android.app.Application
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.ExperimentalCoroutinesApi
import kotlinx.coroutines.MainScope
import kotlinx.coroutines.Job
import org.slackwater.bridge.RealCore
import org.slackwater.bridge.Where
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Kept
import org.slackwater.ui.core.Platform
import java.io.File
import java.util.TimeZone

/** Holds the one core and the one state of the app: they outlive activities, not the process. */
class SlackwaterApplication : Application() {
    private val scope: CoroutineScope = MainScope()
    val camera = PhoneCamera()

    /** Why the store can't be opened; then there is no [state]. */
    var problem: String? = null
        private set

    private var core: RealCore? = null
    private var following: Job? = null

    var state: AppState? = null
        private set

    /** Opens the store once. Files are touched here, before the first frame: a few milliseconds. */
    @OptIn(ExperimentalCoroutinesApi::class)
    fun open(kept: Kept?) {
        if (state != null) return
        try {
            val opened = RealCore.open(Where(File(filesDir, "store").path, utcOffsetMinutes()))
            core = opened
            val platform = Platform(PhonePictures, camera, PhoneSettings(this), PhoneAlarm(this), PhoneSharing(this))
            state = AppState(opened, platform, scope, Dispatchers.IO.limitedParallelism(1)).also {
                if (kept != null) it.restore(kept)
                following = it.begin()
            }
            problem = null
        } catch (e: CoreProblem) {
            problem = e.message
        }
    }

    /** The rig travels: local times follow the phone's zone. */
    fun zoneMayHaveChanged() {
        core?.setUtcOffset(utcOffsetMinutes())
    }

    private fun utcOffsetMinutes(): Int = TimeZone.getDefault().getOffset(System.currentTimeMillis()) / 60_000
}
