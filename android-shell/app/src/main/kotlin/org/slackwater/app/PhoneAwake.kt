package org.slackwater.app

import android.view.Window
import android.view.WindowManager.LayoutParams.FLAG_KEEP_SCREEN_ON
import org.slackwater.ui.core.Awake

/** Keeps the screen on by a flag of the activity's window, which Android heeds while that window is seen. */
class PhoneAwake : Awake {
    private var on = false

    /** The window in front; another takes over what was asked for. */
    var window: Window? = null
        set(value) {
            field = value
            apply()
        }

    override fun keep(on: Boolean) {
        this.on = on
        apply()
    }

    private fun apply() {
        if (on) window?.addFlags(FLAG_KEEP_SCREEN_ON) else window?.clearFlags(FLAG_KEEP_SCREEN_ON)
    }
}
