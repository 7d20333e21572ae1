package org.slackwater.app

import android.content.Context
import android.os.BatteryManager
import android.os.StatFs
import org.slackwater.core.PhoneState
import org.slackwater.ui.core.Caller
import org.slackwater.ui.core.Condition

private const val FULL_PERCENT = 100

/** The phone's own figures, as Android gives them; what it gives as no figure is left out. */
class PhoneCondition(private val context: Context, private val caller: Caller) : Condition {
    private val battery = context.getSystemService(BatteryManager::class.java)

    override fun now(): PhoneState {
        val percent = battery.getIntProperty(BatteryManager.BATTERY_PROPERTY_CAPACITY).takeIf { it in 0..FULL_PERCENT }
        return PhoneState(free()?.toULong(), percent?.toUByte(), battery.isCharging, caller.standing())
    }

    private fun free(): Long? =
        try {
            StatFs(context.filesDir.path).takeIf { it.totalBytes > 0 }?.availableBytes
        } catch (_: IllegalArgumentException) {
            null
        }
}
