package org.slackwater.desktop

import org.jetbrains.skia.Data
import org.jetbrains.skia.Font
import org.jetbrains.skia.FontMgr
import org.jetbrains.skia.Typeface
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test

class FontTest {
    private val faces: List<Typeface> =
        listOf("regular", "semibold", "bold").map { weight ->
            val bytes =
                requireNotNull(javaClass.getResourceAsStream("/font/open_sans_$weight.ttf")) { "no $weight" }
                    .readBytes()
            requireNotNull(FontMgr.default.makeFromData(Data.makeFromBytes(bytes)))
        }

    @Test
    fun everyLatinLetterAndTheSignsOfTheScreensAreThere() {
        val latin = (0x20..0x7E) + (0xA0..0xFF) + (0x100..0x17F)
        val signs = "−±×·–—‘’“”…°²³µ≤≥≈½".map { it.code }
        for (face in faces) {
            val missing = (latin + signs).filter { face.getUTF32Glyph(it) == 0.toShort() }
            assertTrue("${face.familyName}: ${missing.map { String(Character.toChars(it)) }}", missing.isEmpty())
        }
    }

    @Test
    fun aLetterThatIsNotThereIsFoundMissing() {
        assertEquals(0.toShort(), faces[0].getUTF32Glyph(0x4E2D))
    }

    @Test
    fun figuresAreOfOneWidth() {
        for (face in faces) {
            val font = Font(face, 100f)
            assertEquals(1, ('0'..'9').map { font.measureTextWidth(it.toString()) }.distinct().size)
        }
    }

    @Test
    fun theLicenceStandsBesideIt() {
        val text = requireNotNull(javaClass.getResourceAsStream("/licences/open_sans.txt")).readBytes().decodeToString()
        assertTrue("Apache License" in text && "TERMS AND CONDITIONS" in text)
    }
}
