package org.slackwater.app

import android.os.Bundle
import org.slackwater.ui.core.Kept
import org.slackwater.ui.core.KeptPhoto

private const val PLACES = "places"
private const val TYPED = "typed"
private const val AWAITED = "awaited"
private const val WANTED = "wanted"
private const val PHOTO = "photo"
private const val PHOTO_PARTS = 3

/** Writes where the app is and what was typed, so that it outlives the process. */
fun Bundle.write(kept: Kept) {
    putString(PLACES, kept.places)
    putBundle(TYPED, Bundle().apply { kept.drafts.forEach { (key, value) -> putString(key, value) } })
    putString(AWAITED, kept.awaited)
    putString(WANTED, kept.wanted)
    kept.photo?.let { putStringArray(PHOTO, arrayOf(it.subject, it.path, it.note)) }
}

/** Reads what [write] wrote. */
fun Bundle.readKept(): Kept {
    val typed = getBundle(TYPED) ?: Bundle()
    val photo =
        getStringArray(PHOTO)
            ?.takeIf { it.size == PHOTO_PARTS }
            ?.let { (subject, path, note) -> KeptPhoto(subject, path, note) }
    val drafts = typed.keySet().associateWith { typed.getString(it).orEmpty() }
    return Kept(getString(PLACES).orEmpty(), drafts, getString(AWAITED), getString(WANTED), photo)
}
