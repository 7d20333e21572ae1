package org.slackwater.app

import android.content.ActivityNotFoundException
import android.content.ContentResolver
import android.content.Context
import android.net.Uri
import android.provider.OpenableColumns
import java.io.File
import java.io.IOException
import java.util.UUID
import org.slackwater.core.Document
import org.slackwater.ui.core.CoreProblem
import org.slackwater.ui.core.Intake
import org.slackwater.ui.core.Photo

/** What is longer stays in its file, in bytes. */
private const val LARGE = 16L * 1024 * 1024

/**
 * Files of other apps: chosen in Android's own list of files, or handed in. They are read through the resolver by what
 * their app gives out, never by a path: a path could be one of our own files.
 */
class PhoneIntake(private val context: Context) : Intake {
    /** Set while an activity can show the list. */
    var launch: (() -> Unit)? = null
    private var waiting: ((Result<Document?>) -> Unit)? = null

    override fun take(taken: (Result<Document?>) -> Unit) {
        val go = launch ?: return taken(Result.success(null))
        waiting = taken
        try {
            go()
        } catch (e: ActivityNotFoundException) {
            waiting = null
            throw CoreProblem(e)
        }
    }

    /** The list has returned. False if nobody waits any more: the process was ended meanwhile. */
    fun finish(document: Result<Document?>): Boolean {
        val heard = waiting ?: return false
        waiting = null
        heard(document)
        return true
    }

    override fun release(document: Document) {
        document.file?.let { File(it).delete() }
    }

    /** What is at [uri], whole. Off the UI thread: the app that has it may fetch it first. Throws [CoreProblem]. */
    fun read(uri: Uri): Document {
        val file = copy(uri, "handed-in")
        val type = context.contentResolver.getType(uri) ?: "application/octet-stream"
        val name = nameOf(uri)
        if (file.length() > LARGE) return Document(name, type, ByteArray(0), file.path)
        return Document(name, type, file.readBytes(), null).also { file.delete() }
    }

    /** The photo at [uri], in a file of ours. As [read]. */
    fun readPhoto(uri: Uri): Photo = Photo.File(copy(uri, "photos").path)

    private fun copy(uri: Uri, folder: String): File {
        if (uri.scheme != ContentResolver.SCHEME_CONTENT) throw CoreProblem("$uri is not given out by an app")
        val file = File(File(context.cacheDir, folder).apply { mkdirs() }, UUID.randomUUID().toString())
        var whole = false
        try {
            fromAnotherApp {
                val source = context.contentResolver.openInputStream(uri) ?: throw IOException("$uri gives nothing")
                source.use { from -> file.outputStream().use { from.copyTo(it) } }
            }
            whole = true
        } finally {
            if (!whole) file.delete()
        }
        return file
    }

    private fun nameOf(uri: Uri): String {
        val said = fromAnotherApp {
            context.contentResolver.query(uri, arrayOf(OpenableColumns.DISPLAY_NAME), null, null, null)?.use {
                if (it.moveToFirst() && !it.isNull(0)) it.getString(0) else null
            }
        }
        return (said ?: uri.lastPathSegment.orEmpty()).substringAfterLast('/').ifEmpty { "?" }
    }

    /** Another app may have taken its leave back, moved its file, or break in any way of its own. */
    @Suppress("TooGenericExceptionCaught")
    private fun <T> fromAnotherApp(call: () -> T): T =
        try {
            call()
        } catch (e: IOException) {
            throw CoreProblem(e)
        } catch (e: RuntimeException) {
            throw CoreProblem(e)
        }
}
