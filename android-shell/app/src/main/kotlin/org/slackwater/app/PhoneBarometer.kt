package org.slackwater.app

import android.content.Context
import android.hardware.Sensor
import android.hardware.SensorEvent
import android.hardware.SensorEventListener
import android.hardware.SensorManager
import android.os.SystemClock
import org.slackwater.ui.core.AirPressure
import org.slackwater.ui.core.Barometer

/** A figure older than this, in ms, is none: the phone may have been carried down to the dock since. */
private const val FRESH_MS = 5_000

private const val PASCALS_PER_HECTOPASCAL = 100.0
private const val NANOS = 1e9

/**
 * The phone's own barometer, where it has one; it is heard while an activity is in front. Android knows the smallest
 * step of a sensor and how far it can be trusted now, never its error in pascals: none is stated.
 */
class PhoneBarometer(context: Context) : Barometer, SensorEventListener {
    private val sensors = context.getSystemService(SensorManager::class.java)

    private class Heard(val air: AirPressure, val atMs: Long, val nanos: Long)

    /** Written on the UI thread, read off it. */
    @Volatile private var last: Heard? = null

    /** Begins to listen. Nothing comes of it on a phone without a barometer. */
    fun listen() {
        val sensor = sensors.getDefaultSensor(Sensor.TYPE_PRESSURE) ?: return
        sensors.registerListener(this, sensor, SensorManager.SENSOR_DELAY_NORMAL)
    }

    /** Listens no more, and forgets what it heard. */
    fun rest() {
        sensors.unregisterListener(this)
        last = null
    }

    override fun now(): AirPressure? = last?.takeIf { SystemClock.elapsedRealtime() - it.atMs < FRESH_MS }?.air

    override fun onSensorChanged(event: SensorEvent) {
        if (!trusted(event.accuracy)) {
            last = null
            return
        }
        val every = last?.let { (event.timestamp - it.nanos) / NANOS }?.takeIf { it > 0 }
        val step = event.sensor.resolution * PASCALS_PER_HECTOPASCAL
        val air = AirPressure(event.values[0] * PASCALS_PER_HECTOPASCAL, null, step.takeIf { it > 0 }, every)
        last = Heard(air, SystemClock.elapsedRealtime(), event.timestamp)
    }

    override fun onAccuracyChanged(sensor: Sensor, accuracy: Int) {
        if (!trusted(accuracy)) last = null
    }

    private fun trusted(accuracy: Int) = accuracy > SensorManager.SENSOR_STATUS_UNRELIABLE
}
