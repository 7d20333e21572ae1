package org.slackwater.app

import android.content.Context
import android.security.keystore.KeyGenParameterSpec
import android.security.keystore.KeyPermanentlyInvalidatedException
import android.security.keystore.KeyProperties
import android.util.AtomicFile
import java.io.File
import java.io.IOException
import java.security.GeneralSecurityException
import java.security.KeyStore
import java.security.ProviderException
import java.security.SecureRandom
import javax.crypto.AEADBadTagException
import javax.crypto.Cipher
import javax.crypto.KeyGenerator
import javax.crypto.SecretKey
import javax.crypto.spec.GCMParameterSpec
import org.slackwater.ui.core.DeviceSecret
import org.slackwater.ui.core.HeldSecret

private const val KEY_STORE = "AndroidKeyStore"
private const val KEY = "slackwater-device"
private const val CIPHER = "AES/GCM/NoPadding"
private const val SECRET_BYTES = 32
private const val NONCE_BYTES = 12
private const val TAG_BYTES = 16
private const val BITS = 8

/**
 * A secret in a file that only a key of the phone's key store opens, and that is never backed up. A file that can never
 * be opened again is set aside and a new secret made; where the key store just doesn't answer, the file is left for the
 * next time.
 */
class PhoneSecret(private val context: Context) : DeviceSecret {
    private val file = AtomicFile(File(context.noBackupFilesDir, "device-secret"))

    /** It can never be opened again. */
    private class Gone(why: String, cause: Throwable? = null) : GeneralSecurityException(why, cause)

    override fun get(): HeldSecret =
        try {
            HeldSecret(if (file.baseFile.exists()) open(file.readFully()) else make(), null)
        } catch (e: Gone) {
            anew(e)
        } catch (e: GeneralSecurityException) {
            none(e)
        } catch (e: ProviderException) {
            none(e)
        } catch (e: IOException) {
            none(e)
        }

    private fun none(e: Exception) = HeldSecret(null, e.message ?: e.toString())

    private fun anew(gone: Gone): HeldSecret =
        try {
            val aside = File(file.baseFile.path + ".lost-" + System.currentTimeMillis())
            if (!file.baseFile.renameTo(aside)) throw IOException(aside.path)
            HeldSecret(make(), gone.message)
        } catch (_: GeneralSecurityException) {
            none(gone)
        } catch (_: ProviderException) {
            none(gone)
        } catch (_: IOException) {
            none(gone)
        }

    private fun open(kept: ByteArray): ByteArray {
        if (kept.size != NONCE_BYTES + SECRET_BYTES + TAG_BYTES) throw damaged()
        return try {
            val cipher = Cipher.getInstance(CIPHER)
            cipher.init(
                Cipher.DECRYPT_MODE,
                theKey(),
                GCMParameterSpec(TAG_BYTES * BITS, kept, 0, NONCE_BYTES),
            )
            cipher.doFinal(kept, NONCE_BYTES, kept.size - NONCE_BYTES)
        } catch (e: GeneralSecurityException) {
            throw when {
                e is AEADBadTagException -> damaged(e)
                e.isFinal() -> keyGone(e)
                else -> e
            }
        }
    }

    private fun theKey() = key() ?: throw keyGone()

    private fun damaged(cause: Throwable? = null) = Gone(context.getString(R.string.secret_damaged), cause)

    private fun keyGone(cause: Throwable? = null) = Gone(context.getString(R.string.secret_key_gone), cause)

    private fun make(): ByteArray {
        val secret = ByteArray(SECRET_BYTES).also { SecureRandom().nextBytes(it) }
        val cipher = Cipher.getInstance(CIPHER)
        cipher.init(Cipher.ENCRYPT_MODE, usableKey() ?: newKey())
        val kept = cipher.iv + cipher.doFinal(secret)
        val out = file.startWrite()
        try {
            out.write(kept)
            file.finishWrite(out)
        } catch (e: IOException) {
            file.failWrite(out)
            throw e
        }
        return secret
    }

    private fun usableKey(): SecretKey? =
        try {
            key()?.also { Cipher.getInstance(CIPHER).init(Cipher.ENCRYPT_MODE, it) }
        } catch (e: GeneralSecurityException) {
            if (!e.isFinal()) throw e
            null
        }

    private fun key(): SecretKey? = KeyStore.getInstance(KEY_STORE).apply { load(null) }.getKey(KEY, null) as SecretKey?

    private fun newKey(): SecretKey {
        val use = KeyProperties.PURPOSE_ENCRYPT or KeyProperties.PURPOSE_DECRYPT
        val spec =
            KeyGenParameterSpec.Builder(KEY, use)
                .setBlockModes(KeyProperties.BLOCK_MODE_GCM)
                .setEncryptionPaddings(KeyProperties.ENCRYPTION_PADDING_NONE)
                .setKeySize(SECRET_BYTES * BITS)
                .build()
        return KeyGenerator.getInstance(KeyProperties.KEY_ALGORITHM_AES, KEY_STORE).apply { init(spec) }.generateKey()
    }

    /** The key store says itself that the key will never work again; anything else may pass. */
    private fun Throwable.isFinal(): Boolean =
        generateSequence(this) { it.cause }.any { it is KeyPermanentlyInvalidatedException }
}
