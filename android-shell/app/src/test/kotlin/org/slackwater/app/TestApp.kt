package org.slackwater.app

import android.os.Looper
import java.io.File
import kotlin.time.Duration
import kotlinx.coroutines.Dispatchers
import kotlinx.coroutines.cancel
import org.robolectric.Shadows.shadowOf
import org.robolectric.shadows.ShadowAlarmManager
import org.slackwater.bridge.RealCore
import org.slackwater.bridge.Where
import org.slackwater.core.Document
import org.slackwater.desktop.Demo
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Kept
import org.slackwater.ui.core.Sharing

/** Remembers what was offered, and offers it. */
class KeptSharing(private val live: Sharing) : Sharing {
    val offered = mutableListOf<Document>()

    override fun offer(document: Document) {
        offered += document
        live.offer(document)
    }
}

/** The app on a clock that stands still, asking the core in place, so that tests repeat. */
class TestApp : SlackwaterApplication() {
    /** The folder of the store, among the app's own. */
    var storeName = "store"

    /** The person lets it notify and be exact; a test takes that back before it begins. */
    override fun onCreate() {
        super.onCreate()
        ShadowAlarmManager.setCanScheduleExactAlarms(true)
        shadowOf(this).grantPermissions("android.permission.POST_NOTIFICATIONS")
    }

    val store
        get() = File(filesDir, storeName)

    /** Where the clock stands when the store is opened, in ms since 1970 UTC. */
    var openedAtMs = Demo.NOW_MS

    /** Made the first time it is asked for. */
    val openCore: RealCore
        get() {
            open(null)
            return requireNotNull(core) { "the store is not open: $problem" }
        }

    /** The framework of a test has no key store unless the test brings one. */
    override fun where() =
        Where(
            store.path,
            Demo.OFFSET_MINUTES,
            fixedTimeMs = openedAtMs,
            secret = if (FakeKeyStore.isThere) super.where().secret else null,
        )

    override fun stateOn(core: RealCore) =
        AppState(
            core,
            platform(),
            scope,
            Dispatchers.Unconfined,
            refreshEvery = null,
            settle = Duration.ZERO,
        )

    override val reading = Dispatchers.Unconfined

    /** What was handed on, by way of the phone's own share sheet. */
    val sharing = KeptSharing(PhoneSharing(this))

    override fun platform() = super.platform().copy(sharing = sharing)

    override fun utcOffsetMinutes() = Demo.OFFSET_MINUTES

    /** Another run of the app on the same store, at these places. */
    fun again(places: String) = follow(stateOn(openCore), Kept(places, emptyMap()))

    /** Another run of the app on the same store, with what was [kept] of the last. */
    fun again(kept: Kept) = follow(stateOn(openCore), kept)

    private var ended = false

    override fun onTerminate() {
        if (!ended) {
            // The state lets go of the core before the core is shut.
            scope.cancel()
            shadowOf(Looper.getMainLooper()).idle()
            core?.close()
        }
        ended = true
        super.onTerminate()
    }
}
