namespace AftercarePortal.Web.Carrier;

/// <summary>How to reach the carrier and how it reaches us. Section <c>Carrier</c> of the configuration.</summary>
internal sealed class CarrierOptions
{
    public string AccountSid { get; set; } = "";
    /// <summary>Secret: from the environment or a vault, never from a file in the repository.</summary>
    public string AuthToken { get; set; } = "";
    /// <summary>Another base address than the carrier's own, for the loopback carrier; empty in production.</summary>
    public string BaseUrl { get; set; } = "";
    /// <summary>The portal's address as the carrier sees it, for example <c>https://portal.example</c>: signatures are checked against it.</summary>
    public string PublicUrl { get; set; } = "";
    /// <summary>Whether <see cref="PublicUrl"/> is a whole web address.</summary>
    public bool HasPublicUrl => Uri.TryCreate(PublicUrl, UriKind.Absolute, out var address) && (address.Scheme == Uri.UriSchemeHttps || address.Scheme == Uri.UriSchemeHttp);
    /// <summary>A second address of the same portal, where the carrier turns when the first does not answer (its fallback URL); empty: none.</summary>
    public string SecondUrl { get; set; } = "";
    /// <summary>Everyday texts a second each of our numbers may hand over from this node: about 1 for a long number (carrier's guide, messaging dossier 1.6). 0: no pace.</summary>
    public double TextsPerSecond { get; set; } = 1;
    /// <summary>Seconds a repeat waits for the carrier's list, more than 0 and at most <see cref="MostListSeconds"/>: with the wait for an answer it must end within the lease of its job.</summary>
    public double ListSeconds { get; set; } = 3;
    /// <summary>Most <see cref="ListSeconds"/>.</summary>
    public const double MostListSeconds = 15;
    /// <summary>How many days the sweep looks back at the most, 1 or more: as long as the longest outage the clinic reckons with.</summary>
    public int LookBackDays { get; set; } = 40;
    /// <summary>Hosts, with those below them, the carrier's storage may redirect a fetched file to. A public bug report of 2020 shows media.twiliocdn.com; the others from memory, unchecked.</summary>
    public IList<string> MediaHosts { get; } = ["twiliocdn.com", "s3.amazonaws.com", "s3-external-1.amazonaws.com"];
}
