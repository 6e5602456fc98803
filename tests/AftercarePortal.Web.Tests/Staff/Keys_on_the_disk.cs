using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Net;
using Xunit;

namespace AftercarePortal.Web.Tests.Staff;

public sealed class Keys_on_the_disk : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-keys-");

    public void Dispose() => _folder.Delete(recursive: true);

    private string Keys => Path.Combine(_folder.FullName, "keys");

    private string MakeCertificate(string name, string password)
    {
        using var key = RSA.Create(2048);
        using var made = new CertificateRequest($"CN={name}", key, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1).CreateSelfSigned(DateTimeOffset.UtcNow.AddDays(-1), DateTimeOffset.UtcNow.AddDays(1));
        var file = Path.Combine(_folder.FullName, $"{name}.pfx");
        File.WriteAllBytes(file, made.Export(X509ContentType.Pkcs12, password));
        return file;
    }

    private async Task SignIn(params string[] settings)
    {
        await using var portal = await Portal_with_staff.Open([$"--Keys:Folder={Keys}", .. settings]);
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        Assert.Equal(HttpStatusCode.OK, (await (await portal.SignedIn(clinic, "mara")).GetAsync("/Escalations")).StatusCode);
    }

    [Fact]
    public async Task Lie_where_nobody_else_reads()
    {
        await SignIn();
        if (!OperatingSystem.IsWindows()) Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute, File.GetUnixFileMode(Keys));
        Assert.Contains("<masterKey", await File.ReadAllTextAsync(Directory.GetFiles(Keys).Single()));
    }

    [Fact]
    public async Task Are_encrypted_with_the_certificate_and_read_with_it_and_with_the_next()
    {
        var first = MakeCertificate("first", "one");
        await SignIn($"--Keys:Certificate={first}", "--Keys:CertificatePassword=one");
        var kept = await File.ReadAllTextAsync(Directory.GetFiles(Keys).Single());
        Assert.Contains("EncryptedData", kept);
        Assert.DoesNotContain("<masterKey", kept);
        await SignIn($"--Keys:Certificate={first}", "--Keys:CertificatePassword=one");
        await SignIn($"--Keys:Certificate={MakeCertificate("second", "two")}", "--Keys:CertificatePassword=two", $"--Keys:OldCertificate={first}", "--Keys:OldCertificatePassword=one");
        Assert.Single(Directory.GetFiles(Keys));
    }
}
