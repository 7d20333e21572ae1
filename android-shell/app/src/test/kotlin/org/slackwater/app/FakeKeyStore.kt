package org.slackwater.app

import android.security.keystore.KeyGenParameterSpec
import android.security.keystore.KeyPermanentlyInvalidatedException
import java.io.InputStream
import java.io.OutputStream
import java.security.InvalidAlgorithmParameterException
import java.security.Key
import java.security.KeyStoreException
import java.security.KeyStoreSpi
import java.security.Provider
import java.security.ProviderException
import java.security.SecureRandom
import java.security.Security
import java.security.UnrecoverableKeyException
import java.security.cert.Certificate
import java.security.spec.AlgorithmParameterSpec
import java.util.Collections
import java.util.Date
import java.util.Enumeration
import javax.crypto.KeyGeneratorSpi
import javax.crypto.SecretKey
import javax.crypto.spec.SecretKeySpec

/** A key store under Android's name, since the framework of a test has none: keys by name, in memory. */
@Suppress("DEPRECATION") // The newer constructor is not in the oldest Android.
class FakeKeyStore private constructor() : Provider(NAME, 1.0, "for tests") {
    init {
        put("KeyStore.$NAME", Store::class.java.name)
        put("KeyGenerator.AES", Maker::class.java.name)
    }

    class Store : KeyStoreSpi() {
        override fun engineGetKey(alias: String, password: CharArray?): Key? {
            failing?.let { throw it }
            if (alias in invalid)
                throw UnrecoverableKeyException(alias).apply { initCause(KeyPermanentlyInvalidatedException()) }
            return keys[alias]
        }

        override fun engineLoad(stream: InputStream?, password: CharArray?) = Unit

        override fun engineContainsAlias(alias: String) = alias in keys

        override fun engineIsKeyEntry(alias: String) = alias in keys

        override fun engineSize() = keys.size

        override fun engineAliases(): Enumeration<String> = Collections.enumeration(keys.keys)

        override fun engineDeleteEntry(alias: String) = Unit.also { keys.remove(alias) }

        override fun engineGetCertificate(alias: String): Certificate? = null

        override fun engineGetCertificateChain(alias: String): Array<Certificate>? = null

        override fun engineGetCertificateAlias(cert: Certificate): String? = null

        override fun engineIsCertificateEntry(alias: String) = false

        override fun engineGetCreationDate(alias: String): Date? = null

        override fun engineSetKeyEntry(alias: String, key: Key, password: CharArray?, chain: Array<out Certificate>?) =
            no()

        override fun engineSetKeyEntry(alias: String, key: ByteArray, chain: Array<out Certificate>?) = no()

        override fun engineSetCertificateEntry(alias: String, cert: Certificate) = no()

        override fun engineStore(stream: OutputStream?, password: CharArray?) = no()

        private fun no(): Unit = throw KeyStoreException("the phone's key store makes its keys itself")
    }

    class Maker : KeyGeneratorSpi() {
        private var spec: KeyGenParameterSpec? = null

        override fun engineInit(params: AlgorithmParameterSpec, random: SecureRandom?) {
            spec = params as? KeyGenParameterSpec ?: throw InvalidAlgorithmParameterException("$params")
        }

        override fun engineInit(random: SecureRandom?) = throw UnsupportedOperationException()

        override fun engineInit(keysize: Int, random: SecureRandom?) = throw UnsupportedOperationException()

        override fun engineGenerateKey(): SecretKey {
            (failing as? RuntimeException ?: unmade)?.let { throw it }
            val wanted = requireNotNull(spec)
            invalid -= wanted.keystoreAlias
            val bytes = ByteArray(wanted.keySize / 8).also { SecureRandom().nextBytes(it) }
            return SecretKeySpec(bytes, "AES").also { keys[wanted.keystoreAlias] = it }
        }
    }

    companion object {
        private const val NAME = "AndroidKeyStore"
        val keys = mutableMapOf<String, SecretKey>()

        /** Keys that were made invalid: the names stay, the keys never work again. */
        val invalid = mutableSetOf<String>()

        /** What asking for a key ends in, while it is set. */
        var failing: Exception? = null

        /** What making a key ends in, while it is set. */
        var unmade: ProviderException? = null

        val isThere
            get() = Security.getProvider(NAME) is FakeKeyStore

        /** Stands where Android's would; [remove] puts it away with its keys. */
        fun install() {
            remove()
            Security.addProvider(FakeKeyStore())
        }

        fun remove() {
            Security.removeProvider(NAME)
            keys.clear()
            invalid.clear()
            failing = null
            unmade = null
        }
    }
}
