package org.slackwater.app

import android.os.Bundle
import org.slackwater.ui.core.Kept

private const val PLACES = "places"
private const val TYPED = "typed"
private const val AWAITED = "awaited"

/** Writes where the app is and what was typed, so that it outlives the process. */
fun Bundle.write(kept: Kept) {
    putInt(PLACES, kept.places.size)
    kept.places.forEachIndexed { i, texts -> putStringArray("$PLACES.$i", texts.toTypedArray()) }
    putBundle(TYPED, Bundle().apply { kept.drafts.forEach { (key, value) -> putString(key, value) } })
    putString(AWAITED, kept.awaited)
}

/** Reads what [write] wrote. */
fun Bundle.readKept(): Kept {
    val places = (0 until getInt(PLACES)).map { getStringArray("$PLACES.$it").orEmpty().toList() }
    val typed = getBundle(TYPED) ?: Bundle()
    return Kept(places, typed.keySet().associateWith { typed.getString(it).orEmpty() }, getString(AWAITED))
}
