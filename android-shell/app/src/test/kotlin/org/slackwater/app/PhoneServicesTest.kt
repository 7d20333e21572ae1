package org.slackwater.app

import android.content.Context
import android.content.pm.ApplicationInfo
import android.hardware.Sensor
import android.hardware.SensorManager
import android.os.Vibrator
import android.view.WindowManager.LayoutParams.FLAG_KEEP_SCREEN_ON
import androidx.lifecycle.Lifecycle
import java.time.Duration
import org.junit.Assert.assertArrayEquals
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.Shadows.shadowOf
import org.robolectric.shadows.SensorEventBuilder
import org.robolectric.shadows.ShadowSensor
import org.robolectric.shadows.ShadowSystemClock
import org.robolectric.shadows.ShadowVibrator
import org.robolectric.util.ReflectionHelpers
import org.slackwater.desktop.At
import org.slackwater.desktop.RealAppTest
import org.slackwater.ui.core.AirPressure
import org.xmlpull.v1.XmlPullParser

/** What the phone gives beside the screen: its barometer, its light, its shaking, and no backup. */
class PhoneServicesTest : RealAppTest() {
    private val sensors
        get() = phone.getSystemService(Context.SENSOR_SERVICE) as SensorManager

    private val trusted = SensorManager.SENSOR_STATUS_ACCURACY_MEDIUM

    private fun barometer(): Sensor =
        ShadowSensor.newInstance(Sensor.TYPE_PRESSURE).also {
            ReflectionHelpers.setField(it, "mResolution", 0.01f)
            shadowOf(sensors).addSensor(it)
        }

    private fun reads(sensor: Sensor, hectopascals: Float, accuracy: Int = trusted, nanos: Long = 0) {
        val event =
            SensorEventBuilder.newBuilder()
                .setSensor(sensor)
                .setValues(floatArrayOf(hectopascals))
                .setAccuracy(accuracy)
                .setTimestamp(nanos)
                .build()
        shadowOf(sensors).sendSensorEventToListeners(event)
    }

    private val pool by lazy { core.rigNamed("Pool") }

    @Test
    fun thePhonesBarometerIsOfferedWithItsErrorItsStepAndItsRate() {
        val sensor = barometer()
        start()
        assertTrue(shadowOf(sensors).hasListener(phone.barometer))
        reads(sensor, 1012.8f, nanos = 1_000_000_000)
        reads(sensor, 1012.84f, nanos = 1_200_000_000)
        open(At.setup(core.rigNamed("Reef"), "main"))
        seeText("By this phone: 1012.8\u00A0mbar, give or take 4\u00A0mbar")
        seeText("states no error", substring = true)
        seeText("in steps of 0.01\u00A0mbar", substring = true)
        seeText("every 0.2\u00A0s", substring = true)
        open(At.recheck(pool))
        seeText("By this phone: 1012.8\u00A0mbar", substring = true)
    }

    @Test
    fun aPhoneWithoutABarometerAsksForTheNumber() {
        start()
        assertTrue(shadowOf(sensors).listeners.isEmpty())
        open(At.setup(core.rigNamed("Reef"), "main"))
        assertTrue(texts().none { "By this phone" in it })
        assertNull(phone.barometer.now())
    }

    @Test
    fun aBarometerThatTheSystemRefusesIsNone() {
        barometer()
        shadowOf(sensors).setForceListenersToFail(true)
        start()
        assertNull(phone.barometer.now())
    }

    @Test
    fun whatCantBeTrustedOrIsOldIsNoFigure() {
        val sensor = barometer()
        start()
        reads(sensor, 1012.8f)
        assertEquals(
            AirPressure(101_280.0, null, 1.0, null).pascals,
            requireNotNull(phone.barometer.now()).pascals,
            0.1,
        )
        reads(sensor, 1012.8f, SensorManager.SENSOR_STATUS_UNRELIABLE)
        assertNull("unreliable", phone.barometer.now())
        reads(sensor, 1012.8f)
        phone.barometer.onAccuracyChanged(sensor, SensorManager.SENSOR_STATUS_NO_CONTACT)
        assertNull("no contact", phone.barometer.now())
        reads(sensor, 1012.8f)
        ShadowSystemClock.advanceBy(Duration.ofSeconds(6))
        assertNull("silent for six seconds", phone.barometer.now())
        reads(sensor, 1012.8f)
        scenario!!.moveToState(Lifecycle.State.CREATED)
        assertNull("nobody looks", phone.barometer.now())
        assertFalse("and nothing drains the battery", shadowOf(sensors).hasListener(phone.barometer))
    }

    private fun read(hold: WatchedHold, gauge: String) {
        hold.read(gauge)
        rule.waitForIdle()
    }

    private fun lit(): Boolean {
        var flags = 0
        scenario!!.onActivity { flags = it.window.attributes.flags }
        return flags and FLAG_KEEP_SCREEN_ON != 0
    }

    @Test
    fun theScreenStaysOnWhileARunningHoldIsShown() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        assertFalse(lit())
        open(At.rigs(), hold.place)
        assertTrue(lit())
        scenario!!.recreate()
        rule.waitForIdle()
        assertTrue("turned, it is still lit", lit())
        back()
        assertFalse("not for another screen", lit())
        hold.giveUp()
        open(At.rigs(), hold.place)
        assertFalse("not for a hold that has ended", lit())
    }

    private fun shaken(): LongArray? = shadowOf(phone.getSystemService(Vibrator::class.java)).pattern

    @Test
    fun aVerdictIsFeltWhenItIsReachedAndNotWhenItIsOpened() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        open(At.rigs(), hold.place)
        assertNull(hold.reached)
        ShadowVibrator.reset()
        var minutes = 0
        while (hold.reached == null && minutes < 90) {
            assertNull("nothing is reached yet after $minutes min", shaken())
            read(hold, "203.4")
            minutes++
        }
        assertNotNull("a tight housing is judged within $minutes min", hold.reached)
        assertArrayEquals("one long shake", longArrayOf(0, 1200), shaken())
        ShadowVibrator.reset()
        read(hold, "203.4")
        scenario!!.recreate()
        rule.waitForIdle()
        open(At.rigs(), hold.place)
        assertNull("the same verdict is not told again", shaken())
    }

    @Test
    fun aLeakIsFeltApart() {
        start()
        val hold = WatchedHold(core, pool) { app.again() }
        open(At.rigs(), hold.place)
        ShadowVibrator.reset()
        for (minute in 1..40) if (hold.reached == null)
            read(hold, "%.1f".format(java.util.Locale.ROOT, 203.4 - 2.0 * minute))
        assertEquals(org.slackwater.core.Reached.LEAKING, hold.reached)
        assertEquals("five short shakes", 10, shaken()?.size)
    }

    @Test
    fun nothingIsBackedUpOrCopiedToAnotherPhone() {
        start(demo = false)
        val info = phone.packageManager.getApplicationInfo(phone.packageName, 0)
        assertEquals("backup is off", 0, info.flags and ApplicationInfo.FLAG_ALLOW_BACKUP)
        val every = setOf("root", "file", "database", "sharedpref", "external")
        assertEquals(mapOf("full-backup-content" to every), excluded(ofApplication("fullBackupContent")))
        val all = every + listOf("device_root", "device_file", "device_database", "device_sharedpref")
        assertEquals(
            mapOf("cloud-backup" to all, "device-transfer" to all),
            excluded(ofApplication("dataExtractionRules")),
        )
    }

    /** A resource that the merged manifest's application names, as it stands in the package. */
    private fun ofApplication(attribute: String): Int {
        for (cookie in 1..9) {
            val parser =
                try {
                    phone.assets.openXmlResourceParser(cookie, "AndroidManifest.xml")
                } catch (_: java.io.IOException) {
                    continue
                }
            var ours = false
            while (parser.next() != XmlPullParser.END_DOCUMENT) {
                if (parser.eventType != XmlPullParser.START_TAG) continue
                if (parser.name == "manifest") ours = parser.getAttributeValue(null, "package") == phone.packageName
                if (ours && parser.name == "application") {
                    return parser.getAttributeResourceValue("http://schemas.android.com/apk/res/android", attribute, 0)
                }
            }
        }
        error("no manifest of ${phone.packageName} in the package")
    }

    /** What rules leave out whole, by the part that they stand in. */
    private fun excluded(rules: Int): Map<String, Set<String>> {
        val found = mutableMapOf<String, Set<String>>()
        val parser = phone.resources.getXml(rules)
        val parts = mutableListOf<String>()
        while (parser.next() != XmlPullParser.END_DOCUMENT) when (parser.eventType) {
            XmlPullParser.START_TAG -> {
                assertTrue("nothing is included", parser.name != "include")
                if (parser.name == "exclude") {
                    assertEquals(".", parser.getAttributeValue(null, "path"))
                    found.merge(parts.last(), setOf(parser.getAttributeValue(null, "domain"))) { a, b -> a + b }
                }
                parts += parser.name
            }
            XmlPullParser.END_TAG -> parts.removeLast()
        }
        return found
    }
}
