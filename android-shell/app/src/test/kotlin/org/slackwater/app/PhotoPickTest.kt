package org.slackwater.app

import android.app.Activity
import android.content.Intent
import android.content.pm.PackageManager
import android.graphics.BitmapFactory
import android.net.Uri
import android.os.Bundle
import android.os.Parcel
import java.io.ByteArrayInputStream
import java.io.File
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.robolectric.Shadows.shadowOf
import org.slackwater.core.Block
import org.slackwater.desktop.At
import org.slackwater.desktop.Demo
import org.slackwater.desktop.RealAppTest
import org.slackwater.desktop.jpegOf

/** Photos that are on the phone already, which way up they are, and the note that waits with one. */
class PhotoPickTest : RealAppTest() {
    private val chosen = Uri.parse("content://media/picker/0/1")

    private val seal by lazy { At.seal(core.rigNamed("Pool"), "main-back") }

    private fun photos() =
        Demo.aside(core) { Demo.show(core, seal) }.blocks.filterIsInstance<Block.Photos>().flatMap { it.tiles }

    private fun gives(bytes: ByteArray) =
        shadowOf(phone.contentResolver).registerInputStreamSupplier(chosen) { ByteArrayInputStream(bytes) }

    /** Chooses [uri], or none, among the phone's photos. */
    private fun pick(uri: Uri?) {
        tap("Choose a photo of this phone's")
        scenario!!.onActivity {
            val asked = requireNotNull(shadowOf(it).nextStartedActivityForResult) { "no photos were asked for" }
            assertTrue("only pictures: ${asked.intent}", asked.intent.type.orEmpty().startsWith("image/"))
            val answer = if (uri == null) Activity.RESULT_CANCELED else Activity.RESULT_OK
            shadowOf(it).receiveResult(asked.intent, answer, uri?.let { Intent().setData(it) })
        }
        rule.waitForIdle()
    }

    /**
     * A photo of 640 by 480 as a camera held upright stores it: lying, with the turn in its Exif (CIPA DC-008, 4.6.4).
     */
    private fun turned(): ByteArray {
        val plain = jpegOf(640, 480)
        val tiff = "4d4d002a00000008" + "0001" + "0112" + "0003" + "00000001" + "00060000" + "00000000"
        val exif = "457869660000" + tiff
        val length = "%04x".format(exif.length / 2 + 2)
        val segment = "ffe1$length$exif".chunked(2).map { it.toInt(16).toByte() }.toByteArray()
        return plain.copyOfRange(0, 2) + segment + plain.copyOfRange(2, plain.size)
    }

    @Test
    fun aPhotoOfThePhonesIsKeptWithItsNoteAndStandsUpright() {
        start()
        open(At.rigs(), seal)
        val before = photos().size
        gives(turned())
        pick(chosen)
        type("Note on the photo", "Groove, upright")
        tap("Keep the photo")
        val kept = photos().first { it.caption == "Groove, upright" }
        assertEquals(before + 1, photos().size)
        val large = core.large(kept.hash)
        for (picture in
            listOf(
                BitmapFactory.decodeFile(core.thumbnail(kept.hash)),
                BitmapFactory.decodeByteArray(large, 0, large.size),
            )) {
            assertTrue("${picture.width} by ${picture.height}", picture.width < picture.height)
            // Stored, green grows downwards; turned a quarter clockwise it grows to the left.
            val row = picture.height / 2
            val (left, right) =
                listOf(picture.width / 8, picture.width * 7 / 8).map { picture.getPixel(it, row) shr 8 and 0xff }
            assertTrue("green $left on the left, $right on the right", left > right + 60)
        }
        assertTrue("the copy goes once the core has it", File(phone.cacheDir, "photos").list().orEmpty().isEmpty())
    }

    @Test
    fun noneChosenIsNone() {
        start()
        open(At.rigs(), seal)
        pick(null)
        assertNull(app.pendingPhoto)
        assertNull(app.problem)
        assertPlace(seal)
    }

    @Test
    fun aPhotoThatCantBeReadIsSaid() {
        start()
        open(At.rigs(), seal)
        shadowOf(phone.contentResolver).registerInputStreamSupplier(chosen) { throw SecurityException("revoked") }
        pick(chosen)
        assertEquals(app.words.fileUnreadable, app.problem)
        assertNull(app.pendingPhoto)
        assertTrue(File(phone.cacheDir, "photos").list().orEmpty().isEmpty())
    }

    @Test
    fun aPhoneWithoutACameraAppSaysSoAndGoesOn() {
        start()
        open(At.rigs(), seal)
        shadowOf(phone).checkActivities(true)
        rule.runOnUiThread { app.takePhoto("seal") }
        rule.waitForIdle()
        assertEquals(app.words.noCamera, app.problem)
        assertNull(app.pendingPhoto)
        assertPlace(seal)
    }

    @Test
    fun whatIsNoPhotoIsRefusedAndStillThere() {
        start()
        open(At.rigs(), seal)
        gives("eggs".toByteArray())
        pick(chosen)
        app.keepPhoto()
        rule.waitForIdle()
        assertNotNull(app.problem)
        assertNotNull("nothing is dropped without a word", app.pendingPhoto)
    }

    @Test
    fun noLeaveIsAskedForEither() {
        val asked =
            phone.packageManager
                .getPackageInfo(phone.packageName, PackageManager.GET_PERMISSIONS)
                .requestedPermissions
                .orEmpty()
        assertTrue(asked.isNotEmpty())
        val ofPhotos = asked.filter { "CAMERA" in it || "MEDIA" in it || "STORAGE" in it }
        assertEquals(emptyList<String>(), ofPhotos)
    }

    @Test
    fun aPhotoAndItsHalfWrittenNoteComeBackInANewProcess() {
        start()
        open(At.rigs(), seal)
        tap("Add a photo")
        type("Note on the photo", "Groove after cl")
        val parcel = Parcel.obtain()
        parcel.writeBundle(Bundle().apply { write(app.kept()) })
        parcel.setDataPosition(0)
        val kept = requireNotNull(parcel.readBundle(javaClass.classLoader)).readKept()
        parcel.recycle()
        phone.again(kept)
        rule.waitForIdle()
        seeText("Groove after cl")
        tap("Keep the photo")
        assertTrue(photos().any { it.caption == "Groove after cl" })
        phone.again(kept)
        rule.waitForIdle()
        assertNull("its file has gone to the core", app.pendingPhoto)
    }
}
